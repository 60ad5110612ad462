/** A small foreign log with the mapping file that loads it, for the data dictionary. Both are invented, and tested. */
export const MAPPING_EXAMPLE = {
  log: `No;Day;Place;Numbers there;Numbers back;Shown depth;Dug it;What it was
1;08/03/2025;Ferry meadow;412 415 null;410;4 in;y;brass buckle
2;08/03/2025;Ferry meadow;- ;102 98;n/a;y;nail + foil
3;09/03/2025;Old kiln;300 x 3;305;2-3 in;n;
`,
  mapping: `{
  "schema": "overiron-columns/1",
  "columns": [
    { "heading": "No", "field": "signal_id" },
    { "heading": "Day", "field": "date", "order": "day-month-year" },
    { "heading": "Place", "field": "site" },
    { "heading": "Numbers there", "field": "readings_right" },
    { "heading": "Numbers back", "field": "readings_left" },
    { "heading": "Shown depth", "field": "depth_indicated", "unit": "in", "range": "middle" },
    { "heading": "Dug it", "field": "dug", "words": { "y": "yes", "n": "no" } },
    { "heading": "What it was", "field": "what", "split": ["+"] }
  ],
  "constants": { "machine": "Machine A" },
  "empty": ["n/a"],
  "readings": { "lone_hyphen": "silent", "spaced_x": "count", "silent_words": ["null"] },
  "finds": [
    { "word": "brass buckle", "metal": "non-ferrous", "keep": "yes" },
    { "word": "nail", "metal": "ferrous", "keep": "no" },
    { "word": "foil", "metal": "non-ferrous", "keep": "no" }
  ]
}
`,
} as const;
