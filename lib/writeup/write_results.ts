import { z } from "zod";
import type { RecordedResult, RecordedTable } from "../figures/mod.ts";

const finite = z.number();
const counts = z.record(z.string(), z.number().int().nonnegative());
const of = z.record(z.string(), z.string()).optional();
const common = { id: z.string().min(1), of, unit: z.string(), n: counts, notebook: z.string().min(1) };

const presentResult = z.strictObject({
  ...common,
  value: finite,
  interval: z.strictObject({
    low: finite,
    high: finite,
    level: z.number().min(0).max(1),
    method: z.string().min(1),
  }),
});
const absentResult = z.strictObject({ ...common, absent: z.string().min(1), reason: z.string().min(1) });
const table = z.strictObject({
  id: z.string().min(1),
  of,
  rows: z.array(z.string()),
  columns: z.array(z.string()),
  counts: z.array(z.array(z.number().int().nonnegative())),
  n: z.number().int().nonnegative(),
  notebook: z.string().min(1),
});
const input = z.strictObject({ role: z.string().min(1) }).catchall(z.number().int().nonnegative());

/** The shape of `results.json`. */
export const resultsSchema = z.strictObject({
  schema: z.literal("overiron-results/1"),
  seed: z.number().int().nonnegative(),
  inputs: z.array(input),
  headline: z.array(z.string()),
  results: z.array(z.union([presentResult, absentResult])),
  tables: z.array(table),
});

/** What `results.json` holds. */
export type Results = z.infer<typeof resultsSchema>;

export interface ResultsParts {
  readonly seed: number;
  /** Role and counts of each log. */
  readonly inputs: readonly (Readonly<Record<string, number | string>> & { readonly role: string })[];
  /** Ids of the numbers that matter most, in order. */
  readonly headline: readonly string[];
  readonly results: readonly (RecordedResult & { readonly notebook: string })[];
  readonly tables: readonly (RecordedTable & { readonly notebook: string })[];
}

/** Rounds to nine significant digits, once, when written; never gives -0. */
export function nineDigits(value: number): number {
  return Number(value.toPrecision(9)) + 0;
}

/**
 * Writes the text of `results.json`: results sorted by id and then by what they are about, numbers rounded to nine
 * significant digits, a newline at the end. The same parts give the same bytes.
 *
 * A number stated twice with the same value, interval and counts is written once, under the notebook that stated it first.
 *
 * Throws RangeError where one id about one thing was given two different values, where a headline has no result, or where
 * anything does not fit the shape: a value without interval or counts, NaN, infinity, null.
 *
 * @example
 * ```ts
 * import { writeResults } from "./mod.ts";
 * const json = writeResults({ seed: 1, inputs: [], headline: [], results: [], tables: [] });
 * if (!json.includes('"overiron-results/1"')) throw new Error("wrong");
 * ```
 */
export function writeResults(parts: ResultsParts): string {
  const results = sortedOnce(parts.results.map(rounded), "result");
  const tables = sortedOnce(parts.tables, "table");
  for (const id of parts.headline) {
    if (!results.some((result) => result.id === id)) {
      throw new RangeError(`Cannot write results: the headline ${id} has no result`);
    }
  }
  const file = {
    schema: "overiron-results/1",
    seed: parts.seed,
    inputs: parts.inputs,
    headline: parts.headline,
    results,
    tables,
  };
  const checked = resultsSchema.safeParse(file);
  if (!checked.success) {
    const { path, message } = firstIssue(checked.error.issues);
    const at = path[0] === "results"
      ? results[Number(path[1])]?.id
      : path[0] === "tables"
      ? tables[Number(path[1])]?.id
      : "";
    throw new RangeError(`Cannot write results: at ${path.join(".")}${at ? ` (${at})` : ""}: ${message}`);
  }
  return `${JSON.stringify(orderedKeys(file), null, 2)}\n`;
}

interface Issue {
  readonly path: readonly PropertyKey[];
  readonly message: string;
  readonly errors?: readonly (readonly Issue[])[];
}

/** The issue to tell: of a union, that of the branch that came closest. */
function firstIssue(issues: readonly Issue[]): Issue {
  const [first] = issues;
  if (!first!.errors || first!.errors.length === 0) return first!;
  const closest = [...first!.errors].sort((a, b) => a.length - b.length)[0]!;
  const inner = firstIssue(closest);
  return { path: [...first!.path, ...inner.path], message: inner.message };
}

type Named = {
  readonly id: string;
  readonly of?: Readonly<Record<string, string>>;
  readonly notebook: string;
};

function rounded(result: ResultsParts["results"][number]): ResultsParts["results"][number] {
  const { of, ...rest } = result;
  const about = of !== undefined && Object.keys(of).length > 0 ? { of } : {};
  if (!("value" in rest)) return { ...rest, ...about };
  // What is no number stays as it is, for the schema to name.
  const round = (value: unknown): any => typeof value === "number" ? nineDigits(value) : value;
  const { low, high } = rest.interval ?? {};
  const interval = rest.interval && { ...rest.interval, low: round(low), high: round(high) };
  return { ...rest, ...about, value: round(rest.value), interval };
}

const about = ({ of = {} }: Named): string =>
  JSON.stringify(Object.entries(of).sort(([a], [b]) => a < b ? -1 : 1));

/** Sorted by id, then by what it is about; equal ones once, unequal ones refused. */
function sortedOnce<T extends Named>(items: readonly T[], what: string): T[] {
  const seen = new Map<string, T>();
  const key = (item: T): string => `${item.id}\u0000${about(item)}`;
  const content = ({ notebook: _, ...rest }: T): string => JSON.stringify(orderedKeys(rest));
  for (const item of items) {
    const earlier = seen.get(key(item));
    if (earlier === undefined) seen.set(key(item), item);
    else if (content(earlier) !== content(item)) {
      throw new RangeError(
        `Cannot write results: the ${what} ${item.id} about ${about(item)} was given twice and differs`,
      );
    }
  }
  return [...seen].sort(([a], [b]) => a < b ? -1 : a > b ? 1 : 0).map(([, item]) => item);
}

const KEYS = [
  "schema",
  "seed",
  "inputs",
  "headline",
  "results",
  "tables",
  "id",
  "role",
  "of",
  "value",
  "absent",
  "reason",
  "unit",
]
  .concat(["interval", "low", "high", "level", "method", "rows", "columns", "counts", "n", "notebook"]);

/** Keys in one order whatever the order they were set in: the known ones first, the others by name. */
function orderedKeys(value: unknown, inFile = true): unknown {
  if (Array.isArray(value)) return value.map((each) => orderedKeys(each, inFile));
  if (typeof value !== "object" || value === null) return value;
  const rank = (name: string): number => {
    const at = inFile ? KEYS.indexOf(name) : -1;
    return at < 0 ? KEYS.length : at;
  };
  const entries = Object.entries(value).sort(([a], [b]) => rank(a) - rank(b) || (a < b ? -1 : a > b ? 1 : 0));
  return Object.fromEntries(
    entries.map(([key, inner]) => [key, orderedKeys(inner, key !== "of" && key !== "n")]),
  );
}
