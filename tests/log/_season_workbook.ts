/** What tests/log/fixtures/season.fods holds, as it should be read: line, cells and fault of each row. */
export const SEASON_HEADINGS = [
  "signal_id",
  "site",
  "date",
  "seen_at",
  "readings_right",
  "readings_left",
  "depth_indicated",
  "dug",
  "iron",
  "notes",
];
const ERROR = "no cell may be an error of the spreadsheet";
const MERGED = "no cell of a row may be merged with another: split it in the spreadsheet";
export const SEASON_ROWS:
  readonly (readonly [line: number, cells: readonly string[], fault: string | null])[] = [
    [2, [
      "S1",
      "Hay wharf",
      "2025-03-08",
      "08:15",
      "38 40 x",
      "41",
      "6.5",
      "yes",
      "TRUE",
      'said "well", twice',
    ], null],
    [3, ["", "", "", "", "", "", "", "", "", ""], null],
    [4, [
      "S2",
      "Øster mølle",
      "2024-02-29",
      "2024-02-29T23:59",
      "-5",
      "-10 x",
      "0.1",
      "no",
      "FALSE",
      "two\nlines",
    ], null],
    [5, ["S3", "Hay wharf", "", "00:00:01", "300", "310", "#DIV/0!", "no", "", "an error"], ERROR],
    [6, ["S4", "Hay wharf", "2025-12-31", "", "295", "310", "7", "yes", "", "a sum"], null],
    [7, ["S5", "Hay wharf", "", "", "300", "", "8", "no", "", "merged"], MERGED],
    [8, ["S6", "Hay wharf", "", "", "300", "300", "8", "no", "", "too wide", "beyond the headings"], null],
  ];
export const SEASON_NOTES = [
  ["A date or time of the spreadsheet was written out as YYYY-MM-DD, HH:MM or both", 6, 2, "2025-03-08"],
  ["The stored result of a formula was taken", 2, 5, "310"],
] as const;
