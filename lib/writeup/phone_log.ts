import { FIELDS } from "../log/fields.ts";
import { plainCsv } from "../log/plain_csv.ts";
import { tidyReadings } from "./phone_keypad.ts";

/** What was written into one record, by field name; a field that was never touched is not there. */
export type Values = Readonly<Record<string, string>>;

/** What stood in a record before another version of it was taken from a file. */
export interface EarlierVersion {
  readonly values: Values;
  /** Of a signal only. */
  readonly finds?: readonly Values[];
}

/** An outing as the phone keeps it. */
export interface PhoneOuting {
  readonly id: string;
  readonly values: Values;
  readonly ended: boolean;
  readonly deleted: boolean;
  /** The count of changes on this phone at its last one. */
  readonly revision: number;
  readonly earlier?: readonly EarlierVersion[];
}

/** A signal as the phone keeps it, with what came out of its hole. */
export interface PhoneSignal {
  readonly id: string;
  readonly outing: string;
  readonly number: number;
  readonly values: Values;
  readonly finds: readonly Values[];
  readonly deleted: boolean;
  readonly revision: number;
  readonly earlier?: readonly EarlierVersion[];
}

/** All that the phone keeps. */
export interface PhoneLog {
  readonly outings: readonly PhoneOuting[];
  readonly signals: readonly PhoneSignal[];
}

/** One change of one record: a place in it, and what stands there from now on (null: nothing). */
export interface Patch {
  readonly path: readonly (string | number)[];
  readonly value: string | boolean | null;
}

/**
 * Gives a record with one change made; the record itself is left as it was.
 *
 * Changes of different places never undo one another, in whatever order two windows make them.
 *
 * @example
 * ```ts
 * import { applyPatch } from "./phone_log.ts";
 * const outing = { id: "a", values: { site: "Hay wharf" }, ended: false, deleted: false, revision: 1 };
 * const next = applyPatch(outing, { path: ["values", "site"], value: null });
 * if ("site" in next.values || outing.values.site !== "Hay wharf") throw new Error("wrong");
 * ```
 */
export function applyPatch<T extends PhoneOuting | PhoneSignal>(record: T, patch: Patch): T {
  const [first, second, third] = patch.path;
  const set = (values: Values, name: string): Values => {
    const { [name]: _, ...rest } = values;
    return patch.value === null || patch.value === "" ? rest : { ...rest, [name]: String(patch.value) };
  };
  if (first === "values") return { ...record, values: set(record.values, String(second)) };
  if (first === "finds" && "finds" in record) {
    const at = Number(second);
    const finds = [...record.finds];
    while (finds.length <= at) finds.push({});
    finds[at] = set(finds[at]!, String(third));
    while (finds.length > 0 && Object.keys(finds.at(-1)!).length === 0) finds.pop();
    return { ...record, finds };
  }
  return { ...record, [String(first)]: patch.value };
}

const names = (table: "outing" | "signal" | "find"): string[] => FIELDS[table].map((field) => field.name);
const COORDINATES = ["latitude", "longitude"];
export const FIND_COLUMNS: readonly string[] = names("find").filter((name) =>
  name !== "hole_id" && name !== "order"
);
export const OUTING_COLUMNS: readonly string[] = names("outing");
export const SIGNAL_COLUMNS: readonly string[] = names("signal").filter((name) =>
  name !== "signal_id" && name !== "outing_id"
);

/**
 * Gives the columns of an export: the schema's, in its order, finds after the signal, numbered from the second on. Coordinates are left out
 * unless asked for.
 *
 * @example
 * ```ts
 * import { exportColumns } from "./phone_log.ts";
 * const columns = exportColumns({ outings: [], signals: [] });
 * if (columns[0] !== "signal_id" || columns.includes("latitude")) throw new Error("wrong");
 * ```
 */
export function exportColumns(log: PhoneLog, options: { readonly coordinates?: boolean } = {}): string[] {
  const { coordinates = false } = options;
  const finds = log.signals.reduce(
    (most, signal) => signal.deleted ? most : Math.max(most, signal.finds.length),
    1,
  );
  return [
    "signal_id",
    ...OUTING_COLUMNS,
    ...SIGNAL_COLUMNS.filter((name) => coordinates || !COORDINATES.includes(name)),
    ...Array.from(
      { length: finds },
      (_, k) => FIND_COLUMNS.map((name) => k === 0 ? name : `${name}_${k + 1}`),
    ).flat(),
  ];
}

/**
 * Gives the signals that are not deleted, in the order in which they were met, each with its outing.
 *
 * @example
 * ```ts
 * import { standingSignals } from "./phone_log.ts";
 * const log = {
 *   outings: [{ id: "a", values: { site: "K7" }, ended: true, deleted: false, revision: 1 }],
 *   signals: [{ id: "a-01", outing: "a", number: 1, values: { dug: "no" }, finds: [], deleted: false, revision: 2 }],
 * };
 * if (standingSignals(log)[0]!.outing.values.site !== "K7") throw new Error("wrong");
 * ```
 */
export function standingSignals(
  log: PhoneLog,
): { readonly signal: PhoneSignal; readonly outing: PhoneOuting }[] {
  const outings = new Map(log.outings.map((outing) => [outing.id, outing]));
  return log.signals.filter(({ deleted }) => !deleted).flatMap((signal) => {
    const outing = outings.get(signal.outing);
    return outing === undefined || outing.deleted ? [] : [{ signal, outing }];
  }).sort((a, b) =>
    a.outing.id < b.outing.id ? -1 : a.outing.id > b.outing.id ? 1 : a.signal.number - b.signal.number
  );
}

const READINGS = new Set(
  [...FIELDS.outing, ...FIELDS.signal, ...FIELDS.find].filter(({ kind }) => kind === "readings").map((
    { name },
  ) => name),
);

const NUMBERS = new Map(
  [...FIELDS.outing, ...FIELDS.signal, ...FIELDS.find].filter(({ kind }) =>
    kind === "number" || kind === "integer"
  ).map((field) => [field.name, field]),
);

/**
 * Tells why the kit would refuse a number as it was typed, in a few words; null where it would take it, and for fields that are no numbers.
 *
 * @example
 * ```ts
 * import { numberFault } from "./phone_log.ts";
 * if (numberFault("coil_height_cm", "500") !== "must be 0 to 100") throw new Error("wrong");
 * ```
 */
export function numberFault(name: string, text: string): string | null {
  const field = NUMBERS.get(name.replace(/_\d+$/, ""));
  const cell = tidied(name, text);
  if (field === undefined || cell === "") return null;
  const { kind, low, high } = field;
  const value = Number(cell);
  if (!Number.isFinite(value)) return "must be a number";
  if (kind === "integer" && !Number.isInteger(value)) return "must be a whole number";
  return (low !== null && value < low) || (high !== null && value > high)
    ? `must be ${low ?? "any"} to ${high ?? "any"}`
    : null;
}

/**
 * Gives the text of a cell as a file holds it: readings and numbers without what was begun and not finished.
 *
 * @example
 * ```ts
 * import { tidied } from "./phone_log.ts";
 * if (tidied("readings_right", "412 ") !== "412" || tidied("depth_cm", "12.") !== "12") throw new Error("wrong");
 * ```
 */
export const tidied = (name: string, text: string): string =>
  NUMBERS.has(name.replace(/_\d+$/, ""))
    ? text.replace(/[.-]+$/, "")
    : READINGS.has(name.replace(/_\d+$/, ""))
    ? tidyReadings(text)
    : text;

/**
 * Gives the rows of an export, one a signal: the text of each column, empty where nothing was written.
 *
 * @example
 * ```ts
 * import { exportRows } from "./phone_log.ts";
 * const log = {
 *   outings: [{ id: "a", values: { site: "K7" }, ended: true, deleted: false, revision: 1 }],
 *   signals: [{ id: "a-01", outing: "a", number: 1, values: { dug: "no" }, finds: [], deleted: false, revision: 2 }],
 * };
 * if (exportRows(log, ["signal_id", "site", "dug"])[0]!.join() !== "a-01,K7,no") throw new Error("wrong");
 * ```
 */
export function exportRows(log: PhoneLog, columns: readonly string[]): string[][] {
  return standingSignals(log).map(({ signal, outing }) => {
    const row = new Map<string, string>(Object.entries({ ...outing.values, ...signal.values }));
    signal.finds.forEach((find, k) => {
      for (const [name, value] of Object.entries(find)) row.set(k === 0 ? name : `${name}_${k + 1}`, value);
    });
    row.set("signal_id", signal.id);
    row.set("outing_id", outing.id);
    return columns.map((name) => tidied(name, row.get(name) ?? ""));
  });
}

/**
 * Writes the phone's log as CSV by RFC 4180: CRLF line ends, quotes where a comma, a quote or a line break stands in a cell. A cell is
 * written as it was typed, so that what is read back is what was typed.
 *
 * @example
 * ```ts
 * import { phoneCsv } from "./phone_log.ts";
 * const log = {
 *   outings: [{ id: "a", values: { site: "K7" }, ended: true, deleted: false, revision: 1 }],
 *   signals: [{ id: "a-01", outing: "a", number: 1, values: { dug: "no" }, finds: [], deleted: false, revision: 2 }],
 * };
 * if (!phoneCsv(log).endsWith("\r\n") || !phoneCsv(log).includes("a-01,a,")) throw new Error("wrong");
 * ```
 */
export function phoneCsv(log: PhoneLog, options: { readonly coordinates?: boolean } = {}): string {
  const columns = exportColumns(log, options);
  return plainCsv([columns, ...exportRows(log, columns)], { end: "\r\n" });
}

/**
 * Writes the phone's log as JSON that the kit loads as it stands: one list of rows, the outings beside it, and how many there are.
 *
 * @example
 * ```ts
 * import { phoneJson } from "./phone_log.ts";
 * const log = {
 *   outings: [{ id: "a", values: { site: "K7" }, ended: true, deleted: false, revision: 1 }],
 *   signals: [{ id: "a-01", outing: "a", number: 1, values: { dug: "no" }, finds: [], deleted: false, revision: 2 }],
 * };
 * if (JSON.parse(phoneJson(log)).count !== 1) throw new Error("wrong");
 * ```
 */
export function phoneJson(log: PhoneLog, options: { readonly coordinates?: boolean } = {}): string {
  const columns = exportColumns(log, options);
  const signals = exportRows(log, columns).map((row) =>
    Object.fromEntries(columns.map((name, j) => [name, row[j] === "" ? null : row[j]]))
  );
  const outings = Object.fromEntries(
    log.outings.filter(({ deleted }) => !deleted).map(({ id, values }) => [id, values]),
  );
  return `${
    JSON.stringify({ schema: "overiron-phone-log/1", count: signals.length, outings, signals }, null, 1)
  }\n`;
}
