import { csvText, type Field, type Passes, type Signal, type ToneScheme } from "../log/mod.ts";

/** What a cell of a published table may hold. */
export type Cell = string | number | null;
/** A column of a published table: its field, and how it comes from a row. */
export type Column<Row> = readonly [field: Field, cell: (row: Row) => Cell];

/** The month of a day. */
export const month = (date: string | null): string | null => date === null ? null : date.slice(0, 7);

/** A word of the list as it is, any other text as "other". */
export const knownWord = (words: readonly string[], text: string | null | undefined): string | null =>
  text === null || text === undefined ? null : words.includes(text) ? text : "other";

/** The tone heard, if it is made of the names of the machine's bands, as these are shown; else "other". */
export function toneWord(
  text: string | null,
  tones: ToneScheme | undefined,
  shown: (band: string) => string,
): string | null {
  if (text === null) return null;
  const bands = (tones?.bands ?? []).map((band) => band.name);
  const band = (word: string): string | undefined => {
    const name = bands.find((name) => name.toLowerCase() === word.toLowerCase());
    return name === undefined ? undefined : shown(name);
  };
  const whole = band(text.trim());
  if (whole !== undefined) return whole;
  const parts = text.split(/[\s,;/|+]+/).filter((part) => part !== "").map(band);
  return parts.length > 0 && parts.every((part) => part !== undefined) ? parts.join(" ") : "other";
}

/** A readings cell as it was written. */
export const writtenOf = (passes: Passes | null): Cell => passes === null ? null : passes.written;

type Directions = Pick<Signal, "right" | "left" | "cross">;
const readingColumn = <Row extends Directions>(name: string): ((row: Row) => Cell) | null => {
  const match = /^(readings|silent|passes)_(right|left|cross)$/.exec(name);
  if (match === null) return null;
  const side = match[2] as keyof Directions;
  return (row) => {
    const passes = row[side];
    if (passes === null) return null;
    return match[1] === "readings" ? passes.written : match[1] === "silent" ? passes.silent : passes.passes;
  };
};

/** The published columns of fields. Throws where a field is to be made coarser or numbered and nothing says how. */
export function columnsOf<Row extends object>(
  fields: readonly Field[],
  special: Readonly<Record<string, (row: Row) => Cell>>,
): Column<Row>[] {
  return fields.filter((field) => field.publish !== "held back").map((field) => {
    const own = special[field.name] ??
      readingColumn<Row & Directions>(field.name) as ((row: Row) => Cell) | null;
    if (own === null && (field.publish !== "kept" || field.kind === "readings")) {
      throw new Error(`Field ${field.name} is ${field.publish}, but nothing says how`);
    }
    return [field, own ?? ((row: Row) => (row as Record<string, unknown>)[field.name] as Cell ?? null)];
  });
}

/** The text of a published table. */
export const sheet = <Row>(columns: readonly Column<Row>[], rows: readonly Row[]): string =>
  csvText([columns.map(([field]) => field.name), ...rows.map((row) => columns.map(([, cell]) => cell(row)))]);
