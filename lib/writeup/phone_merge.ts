import { parsePhoneFile } from "./phone_import.ts";
import { type PhoneLog, type PhoneOuting, type PhoneSignal, tidied, type Values } from "./phone_log.ts";

/** One cell that a file and the phone tell differently; an empty text stands for a cell that is not there. */
export interface DifferentCell {
  /** The field; one of a find has its number behind it from the second on: `metal_2`. */
  readonly field: string;
  readonly here: string;
  readonly file: string;
}

/** A record that is on the phone and in the file, and not the same in both. */
export interface DifferentRecord {
  readonly kind: "outings" | "signals";
  readonly id: string;
  readonly cells: readonly DifferentCell[];
  /** The file's version; `finds` of a signal only. */
  readonly values: Values;
  readonly finds?: readonly Values[];
}

/** What a file brought back adds to what the phone keeps. */
export interface Merged {
  readonly newOutings: readonly PhoneOuting[];
  readonly newSignals: readonly PhoneSignal[];
  /** Signals that are here already, word for word. */
  readonly same: number;
  /** Records that are here already and say something else: those on the phone stand until the person takes the file's. */
  readonly different: readonly DifferentRecord[];
}

const COORDINATES = ["latitude", "longitude"] as const;

/** A file may leave coordinates out: then the phone's own stay. */
function withOwnPlace(file: Values, here: Values): Values {
  const own = COORDINATES.every((name) => file[name] === undefined)
    ? Object.fromEntries(COORDINATES.flatMap((name) => here[name] === undefined ? [] : [[name, here[name]!]]))
    : {};
  return { ...file, ...own };
}

function cellsOf({ values, finds = [] }: { values: Values; finds?: readonly Values[] }): Map<string, string> {
  const cells = new Map(Object.entries(values));
  finds.forEach((find, k) => {
    for (const [name, value] of Object.entries(find)) cells.set(k === 0 ? name : `${name}_${k + 1}`, value);
  });
  return cells;
}

type Version = Parameters<typeof cellsOf>[0];

function differences(here: Version, file: Version): DifferentCell[] {
  const [own, other] = [cellsOf(here), cellsOf(file)];
  return [...new Set([...own.keys(), ...other.keys()])].flatMap((field) => {
    const cell = {
      field,
      here: tidied(field, own.get(field) ?? ""),
      file: tidied(field, other.get(field) ?? ""),
    };
    return cell.here === cell.file ? [] : [cell];
  });
}

/**
 * Tells what a saved file would add to the phone, and where the two differ. Nothing on the phone is changed by it, whatever the file holds.
 *
 * A signal that was deleted on the phone comes back with the file's version, and keeps the deleted one as its earlier version where that said
 * something else. Throws SyntaxError, in words for the person with the phone, for a file that is cut off or is no log of this page.
 *
 * @example
 * ```ts
 * import { mergePhoneFile } from "./phone_merge.ts";
 * const file = "signal_id,outing_id,site,readings_right\r\na-01,a,K7,412\r\n";
 * const { newSignals, newOutings } = mergePhoneFile({ outings: [], signals: [] }, file);
 * if (newSignals[0]!.values.readings_right !== "412" || newOutings[0]!.values.site !== "K7") throw new Error("wrong");
 * ```
 */
export function mergePhoneFile(
  log: PhoneLog,
  text: string,
  options: { readonly name?: string } = {},
): Merged {
  const file = parsePhoneFile(text, options);
  const outings = new Map(log.outings.map((outing) => [outing.id, outing]));
  const signals = new Map(log.signals.map((signal) => [signal.id, signal]));
  const numbers = new Map<string, number>();
  for (const { outing, number } of log.signals) {
    numbers.set(outing, Math.max(numbers.get(outing) ?? 0, number));
  }
  const newOutings: PhoneOuting[] = [], newSignals: PhoneSignal[] = [], different: DifferentRecord[] = [];
  const kept = (here: PhoneOuting | PhoneSignal, version: Version): Partial<PhoneSignal> => {
    const old = here.earlier ?? [];
    const { values, finds } = here as PhoneSignal;
    const left = finds === undefined ? { values } : { values, finds };
    const earlier = differences(left, version).length === 0 ? old : [...old, left];
    return earlier.length === 0 ? {} : { earlier };
  };
  for (const [id, values] of file.outings) {
    const here = outings.get(id);
    if (here === undefined || here.deleted) {
      newOutings.push({
        id,
        values,
        ended: true,
        deleted: false,
        revision: 0,
        ...(here === undefined ? {} : kept(here, { values })),
      });
      continue;
    }
    const cells = differences(here, { values });
    if (cells.length > 0) different.push({ kind: "outings", id, cells, values });
  }
  let same = 0;
  for (const [id, { outing, values: written, finds }] of file.signals) {
    const here = signals.get(id);
    const values = here === undefined ? written : withOwnPlace(written, here.values);
    if (here === undefined || here.deleted) {
      const number = here?.number ??
        Math.max((numbers.get(outing) ?? 0) + 1, Number(/-(\d+)$/.exec(id)?.[1] ?? 0));
      numbers.set(outing, Math.max(numbers.get(outing) ?? 0, number));
      newSignals.push({
        id,
        outing,
        number,
        values,
        finds,
        deleted: false,
        revision: 0,
        ...(here === undefined ? {} : kept(here, { values, finds })),
      });
      continue;
    }
    const cells = differences(here, { values, finds });
    if (cells.length === 0) same++;
    else different.push({ kind: "signals", id, cells, values, finds });
  }
  return { newOutings, newSignals, same, different };
}

/**
 * Gives a record in the file's version; what stood in it is kept as its latest earlier version.
 *
 * @example
 * ```ts
 * import { putEarlierBack, takeFileVersion } from "./phone_merge.ts";
 * const here = { id: "a-01", outing: "a", number: 1, values: { dug: "no" }, finds: [], deleted: false, revision: 3 };
 * const taken = takeFileVersion(here, { values: { dug: "yes" }, finds: [{ keep: "yes" }] });
 * if (taken.values.dug !== "yes" || putEarlierBack(taken).values.dug !== "no") throw new Error("wrong");
 * ```
 */
export function takeFileVersion<T extends PhoneOuting | PhoneSignal>(record: T, version: Version): T {
  const { values, finds } = record as PhoneSignal;
  const left = finds === undefined ? { values } : { values, finds };
  return {
    ...record,
    values: version.values,
    ...(finds === undefined ? {} : { finds: version.finds ?? [] }),
    earlier: [...(record.earlier ?? []), left],
  };
}

/**
 * Gives a record with its latest earlier version back in place; what stood in it is kept as the latest earlier one. A record without an
 * earlier version comes back as it is.
 *
 * @example
 * ```ts
 * import { putEarlierBack } from "./phone_merge.ts";
 * const here = { id: "a", values: { site: "K7" }, ended: false, deleted: false, revision: 3, earlier: [{ values: { site: "K9" } }] };
 * if (putEarlierBack(here).values.site !== "K9") throw new Error("wrong");
 * ```
 */
export function putEarlierBack<T extends PhoneOuting | PhoneSignal>(record: T): T {
  const last = record.earlier?.at(-1);
  if (last === undefined) return record;
  return takeFileVersion({ ...record, earlier: record.earlier!.slice(0, -1) }, last);
}
