import { WORDS } from "./words.ts";

/**
 * How a cell is read. "name" and "id" are trimmed text, "word" is one of the field's words, "open-word" prefers them
 * but takes any text, "date" is YYYY-MM-DD or YYYY-MM, "time" is HH:MM or a date with a time, "depth" is a number of
 * centimetres or one of the words, "readings" follows the rules of `readReadings`.
 */
export type FieldKind =
  | "id"
  | "name"
  | "text"
  | "word"
  | "open-word"
  | "number"
  | "integer"
  | "date"
  | "time"
  | "depth"
  | "readings";

/** One fact of a log, stated once: validators, Table Schema and data dictionary are made from it. */
export interface Field {
  readonly name: string;
  readonly kind: FieldKind;
  readonly unit: string | null;
  readonly meaning: string;
  /** "needed": the column must be there. Most are optional. */
  readonly need: "needed" | "optional";
  /** When it is known: before the hole is dug, after, or neither ("na"). A model may use only what is known before. */
  readonly known: "before" | "after" | "na";
  /** What a write-up shows: the value, a coarser one, a number in place of an id, or nothing. */
  readonly publish: "kept" | "coarsened" | "renumbered" | "held back";
  /** The words allowed ("word", "depth") or preferred ("open-word"); otherwise empty. */
  readonly words: readonly string[];
  readonly low: number | null;
  readonly high: number | null;
}

export type TableName = "outing" | "signal" | "find" | "trial";

type Rest = Partial<Pick<Field, "unit" | "need" | "words" | "low" | "high">>;
type Policy = [known: Field["known"], publish: Field["publish"]];

const field = (
  name: string,
  kind: FieldKind,
  [known, publish]: Policy,
  meaning: string,
  rest: Rest = {},
): Field => ({
  name,
  kind,
  unit: rest.unit ?? null,
  meaning,
  need: rest.need ?? "optional",
  known,
  publish,
  words: rest.words ?? [],
  low: rest.low ?? null,
  high: rest.high ?? null,
});

const DIRECTIONS = [
  ["right", "with the coil going left to right"],
  ["left", "with the coil going right to left"],
  ["cross", "after walking a quarter turn round the spot"],
] as const;

const readings = (known: Field["known"]): Field[] => [
  ...DIRECTIONS.map(([side, how]) =>
    field(
      `readings_${side}`,
      "readings",
      [known, "kept"],
      `What the machine showed on each pass ${how}, in order.`,
      {
        unit: "reading units",
      },
    )
  ),
  ...DIRECTIONS.map(([side, how]) =>
    field(`silent_${side}`, "integer", [known, "kept"], `How many passes ${how} gave no number.`, {
      unit: "passes",
      low: 0,
      high: 1000,
    })
  ),
  ...DIRECTIONS.map(([side, how]) =>
    field(
      `passes_${side}`,
      "integer",
      [known, "kept"],
      `How many passes were made ${how}, silent ones included.`,
      {
        unit: "passes",
        low: 0,
        high: 1000,
      },
    )
  ),
];

const machineFields: Field[] = [
  field("settings", "name", ["before", "kept"], "Which settings set of the machines file was in use."),
  field(
    "machine",
    "name",
    ["before", "kept"],
    "Which machine of the machines file was in use, where no settings set is named.",
  ),
  field(
    "discrimination",
    "word",
    ["before", "kept"],
    "Whether iron was silenced, where no settings set tells.",
    {
      words: WORDS.discrimination,
    },
  ),
];

/** The fields of an outing: one walk with one machine on one site. */
const outing: Field[] = [
  field(
    "outing_id",
    "id",
    ["na", "renumbered"],
    "The name of the outing; without it, site, date, machine and observer make one.",
  ),
  field("date", "date", ["before", "coarsened"], "The day of the outing; a write-up keeps the month.", {
    unit: "date",
  }),
  field("site", "name", ["before", "coarsened"], "Where it was; a write-up puts a letter in its place.", {
    need: "needed",
  }),
  field(
    "site_private",
    "word",
    ["na", "held back"],
    "Yes leaves everything from this site out of a write-up.",
    {
      words: WORDS.yes_no,
    },
  ),
  ...machineFields,
  field(
    "observer",
    "name",
    ["before", "renumbered"],
    "Who held the machine; a write-up puts a number in place of the name.",
  ),
  field(
    "ground",
    "open-word",
    ["before", "coarsened"],
    "What the ground was; a write-up keeps only the words of this list.",
    {
      words: WORDS.ground,
    },
  ),
  field(
    "moisture",
    "open-word",
    ["before", "coarsened"],
    "How wet the ground was; a write-up keeps only the words of this list.",
    {
      words: WORDS.moisture,
    },
  ),
  field("balance", "number", ["before", "kept"], "The ground balance number that the machine showed.", {
    unit: "machine units",
  }),
  field("coil_height_cm", "number", ["before", "kept"], "How high over the ground the coil was swung.", {
    unit: "cm",
    low: 0,
    high: 100,
  }),
  field("started_at", "time", ["na", "held back"], "When the outing began.", { unit: "local time" }),
  field("ended_at", "time", ["na", "held back"], "When the outing ended.", { unit: "local time" }),
  field("check_start", "readings", ["before", "kept"], "Readings of the check piece before the outing.", {
    unit: "reading units",
  }),
  field("check_end", "readings", ["after", "kept"], "Readings of the same check piece after the outing.", {
    unit: "reading units",
  }),
  field(
    "holes_filled",
    "integer",
    ["after", "kept"],
    "How many holes were filled when the outing ended; never fewer than were dug.",
    { unit: "holes", low: 0, high: 1000 },
  ),
];

/** The fields of a signal, the row of a dig log. */
const signal: Field[] = [
  field("signal_id", "id", ["na", "renumbered"], "The name of the signal; no two signals share one.", {
    need: "needed",
  }),
  field("outing_id", "id", ["na", "renumbered"], "The outing that the signal was met on."),
  field("seen_at", "time", ["before", "held back"], "When the signal was met.", { unit: "local time" }),
  ...readings("before").map((each) =>
    each.name === "readings_right" || each.name === "readings_left"
      ? { ...each, need: "needed" as const }
      : each
  ),
  field("both_ways", "word", ["before", "kept"], "Whether it sounded in both directions of the sweep.", {
    words: WORDS.yes_no_not_tried,
  }),
  field("after_turn", "word", ["before", "kept"], "What the signal did after a quarter turn.", {
    words: WORDS.after_turn,
  }),
  field("spot_moves", "word", ["before", "kept"], "Whether the spot moved between the two directions.", {
    words: WORDS.yes_no_not_tried,
  }),
  field("iron_near", "word", ["before", "kept"], "How much iron sounded around it.", {
    words: WORDS.iron_near,
  }),
  field(
    "tone_heard",
    "text",
    ["before", "coarsened"],
    "The tone band heard; a write-up keeps only names of the machine's bands.",
  ),
  field("depth_indicated", "depth", ["before", "kept"], "The depth that the machine showed.", {
    unit: "cm, or a word",
    words: WORDS.depth,
    low: 0,
    high: 300,
  }),
  field("my_call", "word", ["before", "kept"], "What the person took it for before digging.", {
    words: WORDS.my_call,
  }),
  field("rule_said", "word", ["before", "kept"], "What a field rule said, where one was carried.", {
    words: WORDS.rule_said,
  }),
  field("rule_version", "id", ["before", "renumbered"], "Which version of the rule was carried."),
  field("dig_chance", "number", ["before", "kept"], "The chance of digging that was set before deciding.", {
    unit: "share",
    low: 0,
    high: 1,
  }),
  field("latitude", "number", ["before", "held back"], "Where the signal lay.", {
    unit: "degrees",
    low: -90,
    high: 90,
  }),
  field("longitude", "number", ["before", "held back"], "Where the signal lay.", {
    unit: "degrees",
    low: -180,
    high: 180,
  }),
  field("dug", "word", ["after", "kept"], "Whether a hole was dug, or begun and given up.", {
    words: WORDS.dug,
  }),
  field(
    "stopped_why",
    "open-word",
    ["after", "coarsened"],
    "Why digging was given up; a write-up keeps only the words of this list.",
    {
      words: WORDS.stopped_why,
    },
  ),
  field("hole_id", "id", ["na", "renumbered"], "The hole dug; without it, the hole has the signal's name."),
  field("result", "word", ["after", "kept"], "Whether the hole gave something.", { words: WORDS.result }),
  field("iron_evidence", "word", ["after", "kept"], "Where iron was seen about the find, at its closest.", {
    words: WORDS.iron_evidence,
  }),
  field("after_dig", "word", ["after", "kept"], "Whether the hole still sounded when it was emptied.", {
    words: WORDS.after_dig,
  }),
  field(
    "outcome_stated",
    "word",
    ["after", "kept"],
    "The outcome in the log's own word, where it states one.",
    {
      words: WORDS.outcome_stated,
    },
  ),
  field("notes", "text", ["na", "held back"], "Anything else."),
];

/** The fields of a find: one object out of a hole. */
const find: Field[] = [
  field(
    "find_id",
    "id",
    ["na", "renumbered"],
    "The name of the find; without it, the hole's name and the order make one.",
  ),
  field("hole_id", "id", ["na", "renumbered"], "The hole that the find came from.", { need: "needed" }),
  field("order", "integer", ["after", "kept"], "1 for the first object out of the hole, 2 for the next.", {
    low: 1,
    high: 1000,
  }),
  field("what", "text", ["after", "held back"], "What it was, in the finder's words."),
  field("metal", "word", ["after", "kept"], "Whether it is iron: a magnet tells.", { words: WORDS.metal }),
  field("keep", "word", ["after", "kept"], "Whether it was worth keeping, or a hazard.", {
    words: WORDS.keep,
  }),
  field("depth_cm", "number", ["after", "kept"], "From the surface to the find.", {
    unit: "cm",
    low: 0,
    high: 300,
  }),
  field(
    "readings_alone",
    "readings",
    ["after", "kept"],
    "Readings of the find by itself, beside the cleared hole.",
    {
      unit: "reading units",
    },
  ),
  field("reported", "word", ["after", "held back"], "Whether it was reported as the law asks.", {
    words: WORDS.reported,
  }),
];

/** The fields of a trial, the row of a garden log. */
const trial: Field[] = [
  field("trial_id", "id", ["na", "renumbered"], "The name of the trial; no two trials share one.", {
    need: "needed",
  }),
  field(
    "block",
    "id",
    ["na", "renumbered"],
    "Trials made in one go, with nothing else changed; without it each trial stands alone.",
  ),
  field("run_order", "integer", ["na", "kept"], "The place of the trial in the order they were made.", {
    low: 1,
    high: 1_000_000,
  }),
  field("tried_at", "time", ["na", "coarsened"], "When it was made; a write-up keeps the month.", {
    unit: "date or local time",
  }),
  ...machineFields.map((each) => ({ ...each, known: "na" as const })),
  field("spot", "name", ["na", "renumbered"], "The spot in the garden."),
  field("medium", "word", ["na", "kept"], "What the objects lay in.", { words: WORDS.medium }),
  field("target", "name", ["na", "kept"], "The target laid; empty or none where there was none.", {
    need: "needed",
  }),
  field("target_tilt", "number", ["na", "kept"], "How far the target was tilted from flat.", {
    unit: "degrees",
    low: -180,
    high: 180,
  }),
  field("target_size_mm", "number", ["na", "kept"], "The target's diameter.", {
    unit: "mm",
    low: 0,
    high: 2000,
  }),
  field("depth_cm", "number", ["na", "kept"], "From the surface to the target's centre.", {
    unit: "cm",
    low: -100,
    high: 300,
  }),
  field("coil_height_cm", "number", ["na", "kept"], "How high over the surface the coil was swung.", {
    unit: "cm",
    low: 0,
    high: 100,
  }),
  field(
    "neighbour",
    "name",
    ["na", "kept"],
    "The other piece of metal laid; empty or none where there was none.",
    { need: "needed" },
  ),
  field(
    "neighbour_kind",
    "name",
    ["na", "kept"],
    "What sort of thing it is: nail, sheet, ring, cap, foil, slag, lead.",
  ),
  field("neighbour_length_mm", "number", ["na", "kept"], "The neighbour's greatest length.", {
    unit: "mm",
    low: 0,
    high: 5000,
  }),
  field("neighbour_thickness_mm", "number", ["na", "kept"], "The neighbour's thickness.", {
    unit: "mm",
    low: 0,
    high: 1000,
  }),
  field("neighbour_count", "integer", ["na", "kept"], "How many of it were laid.", { low: 1, high: 1000 }),
  field("side", "word", ["na", "kept"], "On which side of the target it lay.", { words: WORDS.side }),
  field(
    "neighbour_heading_deg",
    "number",
    ["na", "kept"],
    "Its long axis against the direction of the sweep.",
    {
      unit: "degrees",
      low: -360,
      high: 360,
    },
  ),
  field("neighbour_tilt_deg", "number", ["na", "kept"], "Its long axis against the horizontal.", {
    unit: "degrees",
    low: -180,
    high: 180,
  }),
  field("gap_cm", "number", ["na", "kept"], "The clear distance between the nearest edges, in plan.", {
    unit: "cm",
    need: "needed",
    low: 0,
    high: 500,
  }),
  field(
    "height_difference_cm",
    "number",
    ["na", "kept"],
    "How far the neighbour lay above the target; below is negative.",
    {
      unit: "cm",
      low: -300,
      high: 300,
    },
  ),
  ...readings("na").map((each) =>
    each.name === "readings_right" || each.name === "readings_left"
      ? { ...each, need: "needed" as const }
      : each
  ),
  field(
    "tone_heard",
    "text",
    ["na", "coarsened"],
    "The tone band heard; a write-up keeps only names of the machine's bands.",
  ),
  field("blind", "word", ["na", "kept"], "Whether the person did not know what lay there.", {
    words: WORDS.yes_no,
  }),
  field(
    "clean_readings",
    "readings",
    ["na", "kept"],
    "The target by itself, written on this row: weaker than a control trial.",
    {
      unit: "reading units",
    },
  ),
  field(
    "neighbour_readings",
    "readings",
    ["na", "kept"],
    "The neighbour by itself, written on this row: weaker than a control trial.",
    {
      unit: "reading units",
    },
  ),
  field("notes", "text", ["na", "held back"], "Anything else."),
];

/** The facts that the printed rule derives; published beside what they were derived from. */
export const OUTCOME_FIELDS: readonly Field[] = [
  field("outcome_status", "word", ["after", "kept"], "What is known of the outcome.", {
    words: WORDS.outcome_status,
  }),
  field("outcome_class", "word", ["after", "kept"], "The outcome, by the printed rule.", {
    words: WORDS.outcome_class,
  }),
  field("outcome_grade", "word", ["after", "kept"], "What the outcome rests on.", {
    words: WORDS.outcome_grade,
  }),
];

/** Every field of the four tables that are rows of a file. Machines and settings sets are stated in `machinesFileSchema`. */
export const FIELDS: Readonly<Record<TableName, readonly Field[]>> = { outing, signal, find, trial };

/**
 * Gives the statement of one field.
 *
 * Throws RangeError when the table has no such field.
 *
 * @example
 * ```ts
 * import { fieldOf } from "overiron";
 * if (fieldOf("signal", "iron_evidence").known !== "after") throw new Error("wrong");
 * ```
 */
export function fieldOf(table: TableName, name: string): Field {
  const found = FIELDS[table].find((each) => each.name === name);
  if (found === undefined) {
    throw new RangeError(`Cannot give a field: ${table} has none of that name, got ${JSON.stringify(name)}`);
  }
  return found;
}
