import { z } from "zod";
import { WORDS } from "./words.ts";

/** Units of length that a column may be in, in centimetres: NIST Special Publication 811 (2008), appendix B.8. */
export const UNITS_CM = { mm: 0.1, cm: 1, m: 100, in: 2.54, ft: 30.48 } as const;
export type LengthUnit = keyof typeof UNITS_CM;

/** The order in which a log writes day, month and year; "spreadsheet-day" is a count of days (1 for 1900-01-01). */
export const DATE_ORDERS = [
  "year-month-day",
  "day-month-year",
  "month-day-year",
  "spreadsheet-day",
] as const;
export type DateOrder = (typeof DATE_ORDERS)[number];

/** The distances by which iron near a find is called touching, in the plug or in the hole, where a log gives a distance. */
export const IRON_DISTANCES_CM = { touching_cm: 1, in_plug_cm: 8, in_hole_cm: 25 } as const;

const says = (meaning: string, unit: string | null = null) => ({ meaning, unit });
const heading = z.string().trim().max(1000);
const word = z.string().max(200);
const distance = z.number().min(0).max(300);

const columnShape = {
  heading: heading.meta(says("The heading as the log writes it.")),
  field: z.string().max(60).nullable().optional().meta(
    says(
      "The field that it means; readings for both directions in one column, iron_distance for how far iron lay. null leaves the column out; left away, the heading is a field's own name.",
    ),
  ),
  pass: z.int().min(0).max(500).optional().meta(
    says("Which pass the column holds, where each pass has a column. Only for readings."),
  ),
  unit: z.enum(["mm", "cm", "m", "in", "ft"]).optional().meta(
    says("The unit of a length. A unit in the cell itself (4in) comes first."),
  ),
  decimal: z.enum(["point", "comma"]).optional().meta(says("The mark before decimals in this column.")),
  range: z.enum(["low", "middle", "high"]).optional().meta(
    says("Which end of a length like 4-6 is taken. Left away, such rows are rejected."),
  ),
  order: z.enum(DATE_ORDERS).optional().meta(
    says("How dates are written; spreadsheet-day is the count of days that a spreadsheet keeps."),
  ),
  century: z.int().min(1800).max(2100).multipleOf(100).optional().meta(
    says("The century of years with two digits: 2000 makes 25 the year 2025.", "year"),
  ),
  zone: z.string().max(60).optional().meta(
    says(
      "Where the day is to be told of moments with a zone: an offset like +01:00, or a name like Europe/Lisbon.",
    ),
  ),
  words: z.record(word, z.string().max(200)).optional().meta(
    says("The log's words, each with the field's own word for it. An empty one stands for not logged."),
  ),
  refuse: z.array(word).max(500).optional().meta(says("Words that reject their row.")),
  depth_order: z.array(word).min(1).max(50).optional().meta(
    says("Words for depth from the shallowest to the deepest: they become shallow, middle and deep."),
  ),
  split: z.array(z.string().min(1).max(10)).max(10).optional().meta(
    says("Signs that part several finds in one cell of what."),
  ),
};
export const columnSchema = z.strictObject(columnShape);

const readingsSchema = z.strictObject({
  comma: z.enum(["decimal", "passes"]).optional().meta(
    says("What a comma between two digits is: a decimal mark, or the end of a pass."),
  ),
  hyphen: z.enum(["range", "passes"]).optional().meta(
    says("What 38-42 is: the lowest and highest of some passes, or two passes."),
  ),
  lone_hyphen: z.enum(["empty", "silent"]).optional().meta(
    says("What a hyphen by itself is: nothing logged, or a pass that gave no number."),
  ),
  spaced_x: z.enum(["count", "silent"]).optional().meta(
    says("What 38 x 3 is: three passes of 38, or 38, a pass that gave no number, and 3."),
  ),
  two_numbers: z.enum(["passes", "first", "second"]).optional().meta(
    says("What two numbers in a cell are: two passes, or a display with two of which one is the reading."),
  ),
  direction: z.enum(["in-turn", "in-turn-from-left", "not-known"]).optional().meta(
    says(
      "How passes of both directions in one column are told apart: by turns, the first left to right (in-turn) or right to left, or not at all.",
    ),
  ),
  empty_pass: z.enum(["not-made", "silent"]).optional().meta(
    says(
      "What an empty cell between passes with a column each is: a pass not made, or one that gave no number.",
    ),
  ),
  silent_words: z.array(word).max(50).optional().meta(says("Words for a pass that gave no number.")),
  other_words: z.array(word).max(50).optional().meta(
    says("Words that are no readings and were asked about already: their rows are rejected."),
  ),
});

const findWordSchema = z.strictObject({
  word: word.meta(says("The log's word for a find.")),
  metal: z.enum(WORDS.metal).optional().meta(says("What it says of the metal.")),
  keep: z.enum(WORDS.keep).optional().meta(says("Whether such a find is worth keeping, or a hazard.")),
  result: z.enum(["nothing-found", "not-identified"]).optional().meta(
    says("What it says of the hole, where it is no find."),
  ),
});

export const ruleSchema = z.strictObject({
  touching_cm: distance.optional().meta(
    says(`Iron up to here from the find touches it (${IRON_DISTANCES_CM.touching_cm}).`, "cm"),
  ),
  in_plug_cm: distance.optional().meta(
    says(`Iron up to here was in the plug (${IRON_DISTANCES_CM.in_plug_cm}).`, "cm"),
  ),
  in_hole_cm: distance.optional().meta(
    says(`Iron up to here was in the hole (${IRON_DISTANCES_CM.in_hole_cm}).`, "cm"),
  ),
  repeat_limits: z.record(z.string(), z.number().min(0).max(1e6)).optional().meta(
    says(
      "By machine: two readings further apart than this differ by more than repeats do. Left away, it is measured from the log.",
      "reading units",
    ),
  ),
});

/** The keys of a mapping file, before what it says is held against the fields. */
export const mappingShape = {
  schema: z.literal("overiron-columns/1").meta(says('Always "overiron-columns/1".')),
  table: z.enum(["signals", "outings", "finds", "trials"]).optional().meta(
    says("Which table the log is; signals where it is left away. A garden log is trials."),
  ),
  columns: z.array(columnSchema).max(2000).default([]).meta(
    says("A line a column. Columns that are not named keep their heading as their field."),
  ),
  constants: z.record(z.string(), z.string().max(2000)).default({}).meta(
    says("By field: what stands in every row of a field that the log has no column for."),
  ),
  ids: z.literal("row-number").optional().meta(says("Where rows have no id: their number becomes it.")),
  empty: z.array(word).max(50).default([]).meta(says("Marks that stand for an empty cell, such as n/a.")),
  readings: readingsSchema.default({}).meta(
    says("What signs in readings cells mean. Left away, the rules above stand."),
  ),
  finds: z.array(findWordSchema).max(20_000).default([]).meta(
    says("Words for finds and what they say. Edit it as you see fit: outcomes follow from it."),
  ),
  rule: ruleSchema.default({}).meta(says("The distances and noise limits by which outcomes are derived.")),
};
