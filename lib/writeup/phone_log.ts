import { FIELDS } from "../log/fields.ts";
import { parsePhoneFile } from "./phone_import.ts";
import { tidyReadings } from "./phone_keypad.ts";

/** What was written into one record, by field name; a field that was never touched is not there. */
export type Values = Readonly<Record<string, string>>;

/** An outing as the phone keeps it. */
export interface PhoneOuting {
  readonly id: string;
  readonly values: Values;
  readonly ended: boolean;
  readonly deleted: boolean;
  /** The count of changes on this phone at its last one. */
  readonly revision: number;
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

/** The columns of an export: the schema's, in its order, finds after the signal, numbered from the second on. */
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

/** The signals that are not deleted, in the order in which they were met, each with its outing. */
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
const tidied = (name: string, text: string): string =>
  READINGS.has(name.replace(/_\d+$/, "")) ? tidyReadings(text) : text;

/** Rows of an export, one a signal: the text of each column, empty where nothing was written. */
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
 */
export function phoneCsv(log: PhoneLog, options: { readonly coordinates?: boolean } = {}): string {
  const columns = exportColumns(log, options);
  const cell = (text: string): string => /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
  return [columns, ...exportRows(log, columns)].map((row) => row.map(cell).join(",") + "\r\n").join("");
}

/** Writes the phone's log as JSON that the kit loads as it stands: one list of rows, the outings beside it, and how many there are. */
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

/** What a file brought back adds to what the phone keeps. */
export interface Merged {
  readonly newOutings: readonly PhoneOuting[];
  readonly newSignals: readonly PhoneSignal[];
  /** Signals that are here already, word for word. */
  readonly same: number;
  /** Signals that are here already and say something else: those on the phone stand. */
  readonly different: readonly string[];
}

/**
 * Tells what a saved file would add to the phone. Nothing on the phone is changed by it, whatever the file holds.
 *
 * Throws SyntaxError, in words for the person with the phone, for a file that is cut off or is no log of this page.
 */
export function mergePhoneFile(log: PhoneLog, text: string): Merged {
  const file = parsePhoneFile(text);
  const outings = new Set(log.outings.map(({ id }) => id));
  const signals = new Map(log.signals.map((signal) => [signal.id, signal]));
  const numbers = new Map<string, number>();
  for (const { outing, number } of log.signals) {
    numbers.set(outing, Math.max(numbers.get(outing) ?? 0, number));
  }
  const newSignals: PhoneSignal[] = [], different: string[] = [];
  let same = 0;
  for (const [id, { outing, values, finds }] of file.signals) {
    const here = signals.get(id);
    if (here === undefined || here.deleted) {
      const number = here?.number ??
        Math.max((numbers.get(outing) ?? 0) + 1, Number(/-(\d+)$/.exec(id)?.[1] ?? 0));
      numbers.set(outing, Math.max(numbers.get(outing) ?? 0, number));
      newSignals.push({ id, outing, number, values, finds, deleted: false, revision: 0 });
      continue;
    }
    const text = (of: { values: Values; finds: readonly Values[] }): string =>
      JSON.stringify(
        [of.values, ...of.finds].map((each) => Object.entries(each).sort(([a], [b]) => a < b ? -1 : 1)),
      );
    const { latitude: _, longitude: __, ...bare } = here.values;
    if (
      text({ values, finds }) === text(here) || text({ values, finds }) === text({ ...here, values: bare })
    ) same++;
    else different.push(id);
  }
  const newOutings = [...file.outings].filter(([id]) => !outings.has(id)).map((
    [id, values],
  ): PhoneOuting => ({
    id,
    values,
    ended: true,
    deleted: false,
    revision: 0,
  }));
  return { newOutings, newSignals, same, different };
}
