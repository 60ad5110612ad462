import { z } from "zod";
import { type Field, FIELDS, type TableName } from "./fields.ts";
import { FileFault } from "./file_fault.ts";
import { type columnSchema, IRON_DISTANCES_CM, mappingShape, type ruleSchema } from "./mapping_schema.ts";
import { nearestWord } from "./nearest_word.ts";
import { CellFault, readCell } from "./read_cell.ts";

export {
  DATE_ORDERS,
  type DateOrder,
  IRON_DISTANCES_CM,
  type LengthUnit,
  UNITS_CM,
} from "./mapping_schema.ts";

/** Which file of a log a mapping is for. */
export type MappedTableName = "signals" | "outings" | "finds" | "trials";

/** Fields that only a mapping has: what they hold is turned into the kit's own fields. */
export const MAPPED_FIELDS = {
  readings: "Readings of both directions in one column; readings.direction says how they are told apart.",
  iron_distance:
    "How far the nearest iron lay from the find, from which iron_evidence is made by the rule's limits.",
} as const;

/** The zod statement of a mapping file. */
export const columnMappingSchema = z.strictObject(mappingShape).superRefine(checkMapping);

type Deep<T> = T extends readonly (infer Item)[] ? readonly Deep<Item>[]
  : T extends object ? { readonly [Key in keyof T]: Deep<T[Key]> }
  : T;

/** What a mapping file holds. */
export type ColumnMapping = Deep<z.output<typeof columnMappingSchema>>;
/** What a mapping says of one column of a log. `field` null leaves it out; without `field` it keeps its own name. */
export type MappedColumn = ColumnMapping["columns"][number];
/** What signs in readings cells mean. Without a word of it the kit's own rules stand (`readReadings`). */
export type ReadingsConventions = ColumnMapping["readings"];
/** A word for a find, with what it says of metal and keeping. */
export type FindWord = ColumnMapping["finds"][number];

const TABLES: Readonly<Record<MappedTableName, readonly TableName[]>> = {
  signals: ["signal", "outing", "find"],
  outings: ["outing"],
  finds: ["find"],
  trials: ["trial"],
};

/** The fields that a column of the table may mean, in the order of the data dictionary. Later finds have a number. */
export function mappableFields(table: MappedTableName): readonly Field[] {
  const seen = new Set<string>();
  return TABLES[table].flatMap((name) => FIELDS[name]).filter((field) =>
    !seen.has(field.name) && seen.add(field.name)
  );
}

/** The statement of a field by its name in a mapping (`metal_2` is `metal`), or null where there is none. */
export function mappedField(table: MappedTableName, name: string): Field | null {
  const fields = mappableFields(table);
  const own = fields.find((field) => field.name === name);
  if (own !== undefined) return own;
  const numbered = /^(.+)_(\d{1,2})$/.exec(name);
  if (table === "signals" && numbered !== null && Number(numbered[2]) >= 1) {
    const base = FIELDS.find.find((field) => field.name === numbered[1]);
    if (base !== undefined && !["hole_id", "order"].includes(base.name)) return base;
  }
  return null;
}

/** Whether a field's cells are lengths, and in which unit the kit has them. */
export const lengthUnit = (field: Field): "cm" | "mm" | null =>
  field.kind === "depth" || (field.unit === "cm" && field.kind === "number")
    ? "cm"
    : field.unit === "mm"
    ? "mm"
    : null;

export const isReadings = (name: string): boolean =>
  name === "readings" || /^readings_(?:right|left|cross)$/.test(name);

const isZone = (zone: string): boolean => {
  try {
    return Temporal.Instant.fromEpochMilliseconds(0).toZonedDateTimeISO(zone) !== null;
  } catch {
    return false;
  }
};

function checkMapping(
  mapping: {
    table?: MappedTableName | undefined;
    columns: z.output<typeof columnSchema>[];
    constants: Record<string, string>;
    rule: z.output<typeof ruleSchema>;
  },
  context: z.RefinementCtx,
): void {
  const issue = (path: (string | number)[], message: string): void =>
    context.addIssue({ code: "custom", path, message });
  const table = mapping.table ?? "signals";
  const taken = new Map<string, "pass" | "whole">();
  mapping.columns.forEach((column, i) => {
    const at = (key: string): (string | number)[] => ["columns", i, key];
    const name = column.field ?? null;
    if (column.field === undefined) return;
    if (name === null) {
      for (
        const key of [
          "pass",
          "unit",
          "decimal",
          "range",
          "order",
          "words",
          "refuse",
          "depth_order",
          "split",
        ] as const
      ) {
        if (column[key] !== undefined) issue(at(key), "Has no effect on a column that is left out");
      }
      return;
    }
    const only = Object.hasOwn(MAPPED_FIELDS, name);
    const field = only ? null : mappedField(table, name);
    if (!only && field === null) {
      const near = nearestWord(name, mappableFields(table).map((each) => each.name));
      issue(
        at("field"),
        `No such field of ${table}: ${JSON.stringify(name)}${
          near === null ? "" : `; nearest is ${JSON.stringify(near)}`
        }`,
      );
      return;
    }
    const kind = column.pass === undefined ? "whole" : "pass";
    const key = kind === "pass" ? `${name} ${column.pass}` : name;
    if (
      taken.has(key) || (kind === "whole" ? taken.get(`${name} any`) === "pass" : taken.get(name) === "whole")
    ) {
      issue(at("field"), `Two columns mean ${kind === "pass" ? `pass ${column.pass} of ` : ""}${name}`);
    }
    taken.set(key, kind);
    if (kind === "pass") taken.set(`${name} any`, "pass");
    const useless = (which: keyof typeof column, allowed: boolean): void => {
      if (column[which] !== undefined && !allowed) issue(at(which), `Has no effect on ${name}`);
    };
    const isTime = field?.kind === "date" || field?.kind === "time";
    useless("pass", isReadings(name));
    useless("unit", name === "iron_distance" || (field !== null && lengthUnit(field) !== null));
    useless("range", name === "iron_distance" || (field !== null && lengthUnit(field) !== null));
    useless(
      "decimal",
      name === "iron_distance" || field?.kind === "number" || field?.kind === "depth",
    );
    useless("order", isTime);
    useless("century", isTime);
    useless("zone", field?.kind === "date");
    if (column.zone !== undefined && !isZone(column.zone)) {
      issue(at("zone"), "Must be an offset as +01:00 or the name of a zone as Europe/Lisbon");
    }
    useless(
      "words",
      name === "iron_distance" ||
        (field !== null && ["word", "open-word", "depth", "name", "text"].includes(field.kind)),
    );
    useless("refuse", name === "iron_distance" || field?.kind === "word" || field?.kind === "depth");
    useless("depth_order", field?.kind === "depth");
    useless("split", field?.name === "what");
    if (field !== null && column.words !== undefined && (field.kind === "word" || field.kind === "depth")) {
      for (const [from, to] of Object.entries(column.words)) {
        if (readCell(field, to) instanceof CellFault) {
          const near = nearestWord(to, field.words);
          issue(
            [...at("words"), from],
            `Must be one of ${field.words.join(", ")}, got ${JSON.stringify(to)}${
              near === null ? "" : `; nearest is ${JSON.stringify(near)}`
            }`,
          );
        }
      }
    }
  });
  const means = (name: string): number => mapping.columns.findIndex((each) => each.field === name);
  for (
    const [one, others] of [["readings", ["readings_right", "readings_left"]], ["iron_distance", [
      "iron_evidence",
    ]]] as const
  ) {
    const at = means(one);
    for (const other of at < 0 ? [] : others) {
      if (means(other) >= 0) {
        issue(["columns", at, "field"], `${one} makes ${other}, which another column means`);
      }
    }
  }
  for (const [name, value] of Object.entries(mapping.constants)) {
    const field = mappedField(table, name);
    if (field === null) issue(["constants", name], `No such field of ${table}`);
    else if (field.kind === "id" && ["signal_id", "trial_id", "find_id"].includes(name)) {
      issue(["constants", name], "Must differ from row to row: use ids");
    } else {
      const read = readCell(field, value);
      if (read instanceof CellFault) issue(["constants", name], `${name} ${read.rule}`);
      if (taken.has(name)) issue(["constants", name], "A column means it already");
    }
  }
  const { touching_cm, in_plug_cm, in_hole_cm } = { ...IRON_DISTANCES_CM, ...mapping.rule };
  if (!(touching_cm <= in_plug_cm && in_plug_cm <= in_hole_cm)) {
    issue(["rule"], "Distances must rise from touching_cm over in_plug_cm to in_hole_cm");
  }
}

/**
 * Reads a mapping file (JSON) into a checked mapping: what the columns of a foreign log mean.
 *
 * Throws FileFault when the text is not JSON or breaks a rule of the schema: the message names the first few places.
 *
 * @example
 * ```ts
 * import { parseMapping } from "overiron";
 * const mapping = parseMapping(JSON.stringify({
 *   schema: "overiron-columns/1",
 *   columns: [{ heading: "Depth", field: "depth_cm", unit: "in" }],
 * }));
 * if (mapping.columns[0]?.unit !== "in") throw new Error("wrong");
 * ```
 */
export function parseMapping(text: string, file = "mapping.json"): ColumnMapping {
  let value: unknown;
  try {
    value = JSON.parse(text.charCodeAt(0) === 0xfeff ? text.slice(1) : text);
  } catch (error) {
    throw new FileFault(`Cannot read ${file}: it must be JSON, got ${(error as Error).message}`, { file });
  }
  const result = columnMappingSchema.safeParse(value);
  if (result.success) return result.data;
  const issues = result.error.issues.slice(0, 5).map((issue) =>
    `${issue.path.join(".") || "top"}: ${issue.message}`
  );
  const more = result.error.issues.length - issues.length;
  throw new FileFault(
    `Cannot use ${file}: it must follow overiron-columns/1, got ${issues.join("; ")}${
      more > 0 ? `; and ${more} more` : ""
    }`,
    { file },
  );
}

const oneLine = (value: unknown): string =>
  JSON.stringify(value, null, 1)!.replace(/\n\s*/g, " ").replace(/^\[ /, "[").replace(/ \]$/, "]");

/**
 * Writes a mapping as a person would: a column a line, a find word a line, what is empty left out.
 *
 * @example
 * ```ts
 * import { mappingText, parseMapping } from "overiron";
 * const mapping = parseMapping('{"schema":"overiron-columns/1","columns":[{"heading":"Place","field":"site"}]}');
 * if (!mappingText(mapping).includes('\n    { "heading": "Place", "field": "site" }\n')) throw new Error("wrong");
 * ```
 */
export function mappingText(mapping: ColumnMapping): string {
  const parts: string[] = [];
  for (const [key, value] of Object.entries(mapping)) {
    if (value === undefined) continue;
    if (Array.isArray(value) && value.some((each) => typeof each === "object")) {
      parts.push(`  "${key}": [\n${value.map((each) => `    ${oneLine(each)}`).join(",\n")}\n  ]`);
    } else if (typeof value === "object" && Object.keys(value).length === 0) continue;
    else parts.push(`  "${key}": ${oneLine(value)}`);
  }
  return `{\n${parts.join(",\n")}\n}\n`;
}
