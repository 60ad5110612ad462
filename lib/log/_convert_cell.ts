import type { Field } from "./fields.ts";
import { type ColumnMapping, IRON_DISTANCES_CM, lengthUnit, type MappedColumn } from "./mapping.ts";
import { convertDate } from "./mapping_dates.ts";
import { type Converted, convertLength, convertNumber } from "./mapping_numbers.ts";
import { foldWord } from "./mapping_words.ts";

/** The sentences that a mapping may add to the assumptions, beside those of numbers, dates and readings. */
export const MAPPING_NOTES = {
  word: "A word of the log was put into the kit's own word, as the mapping says",
  empty: "A mark of the mapping was read as an empty cell",
  constant: "What the mapping gives once was taken for every row",
  id: "A row without a name of its own was named after its line",
  noDirection: (side: string): string =>
    `The log has no readings with the coil going ${
      side === "right" ? "left to right" : "right to left"
    }: none were logged`,
  depthOrder: "Depth words in order were put into shallow, middle and deep",
  findWord: "A find word was given its metal and keeping by the mapping's table",
  unknownFind: "A find word is not in the mapping's table: it says nothing of metal or keeping",
  findResult: "A find word was read as the result of the hole, by the mapping's table",
  split: "A cell with several finds was split into them, as the mapping says",
  distance: (touching: number, plug: number, hole: number): string =>
    `The distance to iron was put into words: touching up to ${touching} cm, in the plug up to ${plug} cm, in the hole up to ${hole} cm, none beyond`,
} as const;

/** Ranks of words in order, put into the kit's three depth words by thirds. */
function depthWords(order: readonly string[]): ReadonlyMap<string, string> {
  const words = ["shallow", "middle", "deep"];
  return new Map(order.map((word, i) => [foldWord(word), words[Math.floor(3 * (i + 0.5) / order.length)]!]));
}

const wordMap = (words: Readonly<Record<string, string>> | undefined): ReadonlyMap<string, string> | null =>
  words === undefined ? null : new Map(Object.entries(words).map(([from, to]) => [foldWord(from), to]));

/** Makes the function that brings the cells of one column into the field's form. */
export function converterOf(
  column: MappedColumn,
  field: Field | null,
  mapping: ColumnMapping,
  readings: (cell: string) => Converted,
): (cell: string) => Converted {
  const { decimal = "point", unit, range } = column;
  const lengths = {
    decimal,
    ...(unit === undefined ? {} : { unit }),
    ...(range === undefined ? {} : { range }),
  };
  const words = wordMap(column.words);
  const refused = new Set((column.refuse ?? []).map(foldWord));
  const inWords = (cell: string): Converted | null => {
    if (refused.has(foldWord(cell))) return { fault: "is a word that the mapping refuses" };
    const word = words?.get(foldWord(cell));
    return word === undefined ? null : { text: word, notes: [MAPPING_NOTES.word] };
  };
  const plain = (cell: string): Converted => ({ text: cell, notes: [] });
  if (column.field === "iron_distance") {
    const { touching_cm, in_plug_cm, in_hole_cm } = { ...IRON_DISTANCES_CM, ...mapping.rule };
    const note = MAPPING_NOTES.distance(touching_cm, in_plug_cm, in_hole_cm);
    return (cell) => {
      const word = inWords(cell);
      if (word !== null) return word;
      const length = convertLength(cell, "cm", lengths);
      if ("fault" in length) return length;
      const distance = Number(length.text);
      if (length.text === "" || !(distance >= 0)) {
        return { fault: "must be a distance of 0 or more, or a word of the mapping" };
      }
      return {
        text: distance <= touching_cm
          ? "touching"
          : distance <= in_plug_cm
          ? "in-plug"
          : distance <= in_hole_cm
          ? "in-hole"
          : "none",
        notes: [...length.notes, note],
      };
    };
  }
  if (column.field === "readings" || field?.kind === "readings") return readings;
  if (field === null) return plain;
  if (field.kind === "date" || field.kind === "time") {
    const kind = field.kind;
    return (cell) => convertDate(cell, kind, column);
  }
  const target = lengthUnit(field);
  if (target !== null) {
    const order = column.depth_order === undefined ? null : depthWords(column.depth_order);
    return (cell) => {
      const word = inWords(cell);
      if (word !== null) return word;
      const ranked = order?.get(foldWord(cell));
      if (ranked !== undefined) return { text: ranked, notes: [MAPPING_NOTES.depthOrder] };
      return convertLength(cell, target, lengths);
    };
  }
  if (field.kind === "number") return (cell) => convertNumber(cell, decimal);
  if (words !== null || refused.size > 0) return (cell) => inWords(cell) ?? plain(cell);
  return plain;
}
