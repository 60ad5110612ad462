import type { ReadingsConventions } from "./mapping.ts";
import type { Converted } from "./mapping_numbers.ts";

/** The sentences that readings cells of a mapped log may add to the assumptions. */
export const READING_CELL_NOTES = {
  decimal: "A comma inside a reading was read as a decimal comma, as the mapping says",
  commaPasses: "A comma without a space was read as the end of a pass, as the mapping says",
  hyphenPasses: "Numbers joined by a hyphen were read as passes, as the mapping says",
  empty: "A lone hyphen was read as an empty cell, as the mapping says",
  loneSilent: "A lone hyphen was read as a silent pass, as the mapping says",
  count: "A number, an x and a number were read as a count of passes, as the mapping says",
  xSilent: "An x between two numbers was read as a silent pass, as the mapping says",
  first: "Of two numbers the first was taken as the reading, as the mapping says",
  second: "Of two numbers the second was taken as the reading, as the mapping says",
  words: "A word of the mapping was read as a silent pass",
  inTurn: "Passes in one column were taken in turn, the first left to right, as the mapping says",
  fromLeft: "Passes in one column were taken in turn, the first right to left, as the mapping says",
  notKnown:
    "Readings whose direction is not known were put under left to right: no sweep asymmetry can come from them",
  summary: "A lowest and highest reading without a direction was put under left to right",
  joined: "Passes with a column each were joined in order",
  notMade: "An empty cell of a pass was taken as a pass not made",
  emptySilent: "An empty cell of a pass was taken as a silent pass, as the mapping says",
} as const;

const N = "[+-]?\\d+(?:\\.\\d+)?";
const NUMBER = new RegExp(`^${N}$`);
const SILENT = /^[x.]$/i;

/** One spelling for dashes, spaces and times signs, as `readReadings` has it. */
const plain = (cell: string): string =>
  cell.trim().replace(/[\u2010-\u2015\u2212]/g, "-").replace(/[\s\u00a0\u2007\u202f]+/g, " ").replace(
    /\u00d7/g,
    "x",
  );

const escape = (text: string): string => text.replace(/[.*+?^${}()|[\]\\/]/g, "\\$&");

/** Makes the function that brings readings cells into the kit's form by a log's conventions. */
export function readingsConverter(conventions: ReadingsConventions): (cell: string) => Converted {
  const { comma, hyphen, lone_hyphen, spaced_x, two_numbers, silent_words = [] } = conventions;
  const words = silent_words.map(plain).filter((each) => each !== "").sort((a, b) =>
    b.length - a.length || (a < b ? -1 : 1)
  );
  const silentWord = words.length === 0
    ? null
    : new RegExp(`(?<=^|[ ,;/|])(?:${words.map(escape).join("|")})(?=$|[ ,;/|])`, "giu");
  return (cell) => {
    let text = plain(cell);
    const notes: string[] = [];
    const note = (changed: string, why: string): void => {
      if (changed !== text) notes.push(why);
      text = changed;
    };
    if (text === "") return { text, notes };
    if (silentWord !== null) note(text.replace(silentWord, "x"), READING_CELL_NOTES.words);
    if (/^-{1,3}$/.test(text)) {
      if (lone_hyphen === "empty") return { text: "", notes: [READING_CELL_NOTES.empty] };
      if (lone_hyphen === "silent") return { text: "x", notes: [READING_CELL_NOTES.loneSilent] };
      return { text, notes };
    }
    if (lone_hyphen === "silent") {
      // Only beside readings that are parted otherwise: "38 - 42" may be a range.
      if (!new RegExp(`^${N} - ${N}$`).test(text) || hyphen === "passes") {
        note(text.replace(/(?<=^|[ ,;/|])-{1,3}(?=$|[ ,;/|])/g, "x"), READING_CELL_NOTES.loneSilent);
      }
    }
    if (comma === "decimal") {
      if (/\d,\d+,\d/.test(text) || /\d\.\d/.test(text)) {
        return {
          fault: "must hold readings with a decimal comma, parted by something else, as the mapping says",
        };
      }
      note(text.replace(/(\d),(?=\d)/g, "$1."), READING_CELL_NOTES.decimal);
    } else if (comma === "passes") {
      note(text.replace(/(?<=[\dx]),(?=[\dx+-])/gi, " "), READING_CELL_NOTES.commaPasses);
    }
    if (hyphen === "passes") {
      let joined = text;
      for (let before = ""; before !== joined;) {
        before = joined;
        joined = joined.replace(
          new RegExp(`(^|[ ,;/|])(${N}|x)(?:-| - |- )(${N}|x)(?=$|[ ,;/|-])`, "i"),
          "$1$2 $3",
        );
      }
      note(joined, READING_CELL_NOTES.hyphenPasses);
    }
    const spaced = new RegExp(`^(${N}) x (\\d{1,2})$`, "i").exec(text);
    if (spaced !== null && spaced_x !== undefined) {
      return spaced_x === "count"
        ? { text: `${spaced[1]}x${spaced[2]}`, notes: [...notes, READING_CELL_NOTES.count] }
        : { text: `${spaced[1]} . ${spaced[2]}`, notes: [...notes, READING_CELL_NOTES.xSilent] };
    }
    if (two_numbers === "first" || two_numbers === "second") {
      const pair = new RegExp(`^(${N})(?: ?[,;/|] ?| )(${N})$`).exec(text);
      if (pair !== null) {
        return {
          text: two_numbers === "first" ? pair[1]! : pair[2]!,
          notes: [...notes, READING_CELL_NOTES[two_numbers]],
        };
      }
    }
    return { text, notes };
  };
}

/** The passes of a converted cell, each a number or "x", or null where it is a summary or no list of passes. */
export function passesIn(text: string): readonly string[] | null {
  if (new RegExp(`^${N}(?:-| - |- | to |to)${N}`, "i").test(text)) return null;
  const passes: string[] = [];
  for (const token of text.split(/[ ,;/|]+/)) {
    if (token === "") continue;
    const count = new RegExp(`^(${N})[x*](\\d{1,2})$`, "i").exec(token);
    if (count !== null && Number(count[2]) >= 1 && Number(count[2]) <= 50) {
      for (let i = 0; i < Number(count[2]); i++) passes.push(count[1]!);
    } else if (NUMBER.test(token)) passes.push(token);
    else if (SILENT.test(token)) passes.push("x");
    else return null;
  }
  return passes.length === 0 ? null : passes;
}

/** The two directions of readings that stood in one column. */
export type BothWays =
  | { readonly right: string; readonly left: string; readonly notes: readonly string[] }
  | { readonly fault: string };

/** Parts the passes of one column into directions by the log's convention. */
export function partDirections(text: string, direction: ReadingsConventions["direction"]): BothWays {
  if (text === "") return { right: "", left: "", notes: [] };
  if (direction === undefined) {
    return { fault: "holds both directions: the mapping must say how they are told apart" };
  }
  if (direction === "not-known") return { right: text, left: "", notes: [READING_CELL_NOTES.notKnown] };
  const passes = passesIn(text);
  if (passes === null) {
    return /^[+-]?\d/.test(text) && /[\d](?:-| - |- | to |to)[+-]?\d/i.test(text)
      ? { right: text, left: "", notes: [READING_CELL_NOTES.summary] }
      : { fault: "must be readings: numbers, with x for a pass that gave none" };
  }
  const odd = passes.filter((_, i) => i % 2 === 0).join(" "),
    even = passes.filter((_, i) => i % 2 === 1).join(" ");
  return direction === "in-turn"
    ? { right: odd, left: even, notes: [READING_CELL_NOTES.inTurn] }
    : { right: even, left: odd, notes: [READING_CELL_NOTES.fromLeft] };
}

/** Joins the cells of passes that have a column each. Every cell holds one number, one silent mark or nothing. */
export function joinPasses(
  cells: readonly string[],
  emptyPass: ReadingsConventions["empty_pass"],
): Converted {
  if (cells.every((cell) => cell === "")) return { text: "", notes: [] };
  const notes = new Set<string>([READING_CELL_NOTES.joined]);
  const last = cells.findLastIndex((cell) => cell !== "");
  const passes: string[] = [];
  for (let i = 0; i < cells.length; i++) {
    const cell = cells[i]!;
    if (cell === "") {
      if (emptyPass === "silent") {
        passes.push("x");
        notes.add(READING_CELL_NOTES.emptySilent);
      } else if (emptyPass === "not-made" || i > last) notes.add(READING_CELL_NOTES.notMade);
      else {return {
          fault: "has an empty pass before a filled one: the mapping must say what empty_pass means",
        };}
      continue;
    }
    if (passesIn(cell)?.length !== 1) {
      return { fault: "must hold one number a pass, or x for a pass that gave none" };
    }
    passes.push(passesIn(cell)![0]!);
  }
  return { text: passes.join(" "), notes: [...notes] };
}
