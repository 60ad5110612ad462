import { csvText } from "./csv_text.ts";
import { type FieldKind, FIELDS } from "./fields.ts";
import { flatField, flatRows, type LeftOut, MERGED_COLUMN } from "./_flat_rows.ts";
import type { ColumnMapping } from "./mapping.ts";
import { type Duplicate, findDuplicates } from "./merge_duplicates.ts";
import { makeOutings } from "./_merge_outings.ts";
import { IDS, type Merging } from "./_merging.ts";
import type { LogFile, ReadTableOptions } from "./read_table.ts";

/** A dig log to be merged with others. */
export interface LogToMerge {
  /** A short name that stays the same from merge to merge: letters, digits, dots, hyphens, underscores. */
  readonly name: string;
  /** Its file, or the files of its tables. */
  readonly files: readonly LogFile[];
  /** What the columns of a foreign log mean. */
  readonly columns?: ColumnMapping;
  /** Who held the machine, for the rows that do not say. */
  readonly observer?: string;
  /** Which machine it was, for the rows that name neither machine nor settings. */
  readonly machine?: string;
}

export interface MergeLogsOptions extends ReadTableOptions {
  /** Whether rows that are the same to the letter are kept. Default false: the first stays. */
  readonly keepIdentical?: boolean;
}

/** What became of the rows of one log. rows = written + identical + leftOut, blank rows not counted. */
export interface MergedPart {
  readonly name: string;
  readonly rows: number;
  readonly written: number;
  readonly identical: number;
  readonly blank: number;
  readonly leftOut: readonly LeftOut[];
  /** How many outings were made of its written rows that name none: those of one site, day, machine and observer. */
  readonly madeOutings: number;
  /** How many written rows each observer has; "" is nobody named. */
  readonly observers: ReadonlyMap<string, number>;
}

/** Several dig logs as one. */
export interface MergedLog {
  /** A CSV file with a row a signal, for the loaders. */
  readonly text: string;
  readonly headings: readonly string[];
  readonly rows: number;
  readonly parts: readonly MergedPart[];
  readonly duplicates: readonly Duplicate[];
}

const NAME = /^[A-Za-z0-9][A-Za-z0-9._-]{0,39}$/;
const ORDER = [...FIELDS.outing, ...FIELDS.signal].map(({ name }) => name)
  .sort((a, b) => Number(b === "signal_id") - Number(a === "signal_id"));
const FIND_ORDER = FIELDS.find.map(({ name }) => name);

function orderedHeadings(all: readonly Merging[]): string[] {
  const met = new Set(all.flatMap(({ row }) => [...row.cells.keys()]));
  const numbers = [...met].map((name) => Number(/_(\d{1,2})$/.exec(name)?.[1] ?? 1));
  const finds = Array.from({ length: Math.max(1, ...numbers) }, (_, i) => i + 1)
    .flatMap((number) => FIND_ORDER.map((name) => number === 1 ? name : `${name}_${number}`));
  const wanted = [MERGED_COLUMN, ...ORDER, ...finds.filter((name) => !ORDER.includes(name))];
  const first = [...new Set(wanted)].filter((name) => met.has(name));
  return [...first, ...[...met].filter((name) => !first.includes(name))];
}

const isText = (name: string): boolean => {
  const kind: FieldKind | undefined = flatField(name)?.kind;
  return kind === undefined || kind === "text";
};

/**
 * Merges dig logs of several seasons and people into one, with a row a signal.
 *
 * Each id gets its log's name in front ("2024:S1"), whatever the other logs are, so that a signal keeps its id from merge
 * to merge; rows that were merged before keep theirs. Cells stay as written. Rows that are the same to the letter are
 * left out but once; others that may be one signal are shown, and kept. Rows that name no outing get one of their own log,
 * by site, day, settings, machine and observer, so that those of two people or files never become one. A row that cannot be read as a row is left out and
 * listed. Nothing is checked against the schema here: that is for the loaders.
 *
 * Throws FileFault as the readers do; RangeError for fewer than two logs, an odd name, or two logs of one name.
 *
 * @example
 * ```ts
 * import { mergeLogs } from "overiron";
 * const log = (text: string) => [{ name: "log.csv", bytes: new TextEncoder().encode(text) }];
 * const merged = await mergeLogs([
 *   { name: "2024", files: log("signal_id,site,readings_right,readings_left\nS1,Hay wharf,300,310\n"), observer: "Ines" },
 *   { name: "2025", files: log("signal_id,site,readings_right,readings_left,observer\nS1,Hay wharf,90,95,Bo\n") },
 * ]);
 * if (!merged.text.includes("2025,2025:S1,")) throw new Error("wrong");
 * if (merged.rows !== 2 || merged.duplicates[0]?.kind !== "changed") throw new Error("wrong");
 * ```
 */
export async function mergeLogs(
  logs: readonly LogToMerge[],
  options: MergeLogsOptions = {},
): Promise<MergedLog> {
  const { keepIdentical = false, ...readOptions } = options;
  if (logs.length < 2) throw new RangeError(`Cannot merge logs: need two or more, got ${logs.length}`);
  const names = new Set<string>();
  for (const { name } of logs) {
    if (!NAME.test(name)) {
      throw new RangeError(
        `Cannot merge logs: a log's name must be of letters, digits, dots, hyphens and underscores, got ${
          JSON.stringify(name)
        }`,
      );
    }
    if (names.has(name)) {
      throw new RangeError(`Cannot merge logs: two logs must not share a name, got ${JSON.stringify(name)}`);
    }
    names.add(name);
  }

  const all: Merging[] = [];
  const read: { name: string; rows: number; blank: number; leftOut: readonly LeftOut[] }[] = [];
  for (const { name, files, columns, observer, machine } of logs) {
    const flat = await flatRows(files, { ...readOptions, ...(columns === undefined ? {} : { columns }) });
    read.push({
      name,
      rows: flat.rows.length + flat.leftOut.length,
      blank: flat.blank,
      leftOut: flat.leftOut,
    });
    for (const row of flat.rows) {
      const { cells } = row;
      const before = cells.get(MERGED_COLUMN);
      const id = cells.get("signal_id") ?? "";
      if (before === undefined) {
        for (const [key, text] of cells) if (IDS.test(key)) cells.set(key, `${name}:${text}`);
        cells.set(MERGED_COLUMN, name);
      }
      if (observer !== undefined && !cells.has("observer")) cells.set("observer", observer);
      if (machine !== undefined && !cells.has("machine") && !cells.has("settings")) {
        cells.set("machine", machine);
      }
      const ownId = before !== undefined && id.startsWith(`${before}:`) ? id.slice(before.length + 1) : id;
      all.push({ log: name, row, ownId });
    }
  }

  const madeOutings = makeOutings(all);
  const duplicates = findDuplicates(all);
  const dropped = new Set(
    keepIdentical
      ? []
      : duplicates.filter(({ kind }) => kind === "identical").map(({ second }) =>
        `${second.log}\n${second.file}\n${second.line}`
      ),
  );
  const isDropped = ({ log, row }: Merging): boolean => dropped.has(`${log}\n${row.file}\n${row.line}`);
  const kept = all.filter((each) => !isDropped(each));
  const headings = orderedHeadings(kept);
  const parts = read.map(({ name, rows, blank, leftOut }): MergedPart => {
    const own = all.filter(({ log }) => log === name), written = own.filter((each) => !isDropped(each));
    const observers = new Map<string, number>(), made = new Set<string>();
    for (const { row } of written) {
      const who = row.cells.get("observer") ?? "";
      observers.set(who, (observers.get(who) ?? 0) + 1);
      const outing = row.cells.get("outing_id")!;
      if (madeOutings.has(outing)) made.add(outing);
    }
    return {
      name,
      rows,
      written: written.length,
      identical: own.length - written.length,
      blank,
      leftOut,
      madeOutings: made.size,
      observers,
    };
  });
  for (const { name, rows, written, identical, leftOut } of parts) {
    if (rows !== written + identical + leftOut.length) {
      throw new Error(`Row account of ${name} does not balance`);
    }
  }
  const text = csvText([
    headings,
    ...kept.map(({ row }) =>
      headings.map((name) => {
        const cell = row.cells.get(name) ?? null;
        // Line breaks belong to free text only.
        return cell === null || isText(name) ? cell : cell.replace(/\s+/g, " ");
      })
    ),
  ]);
  return { text, headings, rows: kept.length, parts, duplicates };
}
