import type { Machine } from "./machines.ts";
import type { Passes, PassKind } from "./rows.ts";

export interface ReadReadingsOptions {
  /** The machine's scale. Without it readings are not checked against one. */
  readonly scale?: Machine["scale"];
  /** The cell of the silent_ column, or null where it is empty (the default). */
  readonly silent?: number | null;
  /** The cell of the passes_ column, or null where it is empty (the default). */
  readonly passes?: number | null;
  /** What "38 x 3" means, spaces on both sides: three passes of 38 ("count", the default) or 38, silent, 3 ("silent"). */
  readonly spacedX?: "count" | "silent";
}

/** A readings cell that was understood; null passes mean that nothing was logged. */
export interface ReadReadings {
  readonly passes: Passes | null;
  /** What was taken for granted, one sentence each, without the values. */
  readonly assumptions: readonly string[];
  /** What is legal but odd, one sentence each, without the values. */
  readonly flags: readonly string[];
}

/** A readings cell that breaks a rule. */
export interface ReadingsFault {
  readonly fault: string;
  /** The column at fault: the readings themselves, or the count beside them. */
  readonly at: "readings" | "silent" | "passes";
}

/** The sentences that `readReadings` may put into `assumptions` and `flags`. */
export const READINGS_NOTES = {
  range: "Two numbers joined by a hyphen or by 'to' were read as the lowest and the highest reading",
  rangeTurned: "A range written high to low was turned round",
  triple: "Three numbers joined by hyphens were read as lowest, usual and highest reading",
  count: "A number, an x and a small whole number were read as that many passes of one reading",
  spacedSilent: "An x between two numbers was read as a pass that gave no number",
  leadingSilent:
    "An x before a small whole number was read as a pass that gave no number, and the number as a reading",
  comma: "Two numbers joined by a comma without a space were read as two passes, not as a decimal comma",
  minus: "A minus sign close before a number was read as a negative reading, not as a range",
  usual: "One number beside a count of several passes was read as the usual reading",
  approximate: "A number marked as rough was read as that number",
  offStep: "A reading lies between two steps of the machine's scale",
  fewer: "Fewer numbers are written than passes that gave one",
} as const;

const N = "[+-]?\\d+(?:\\.\\d+)?";
const NUMBER = new RegExp(`^${N}$`);
const RANGE = new RegExp(`^(${N})(?:-| - |- | to |to)(${N})$`, "i");
const TRIPLE = new RegExp(`^(${N})(?:-| - |- )(${N})(?:-| - |- )(${N})$`);
const SPACED_MINUS = new RegExp(`^(${N}) -(\\d+(?:\\.\\d+)?)$`);
const GLUED_COUNT = new RegExp(`^(${N})[x*](\\d{1,3})$`, "i");
const SPACED_COUNT = new RegExp(`^(${N}) x (\\d{1,2})$`, "i");
const HALF_SPACED_COUNT = new RegExp(`^(${N})(?:x (\\d{1,2})| x(\\d{1,2}))$`, "i");
const ROUGH = new RegExp(`^(?:~|c\\.?|ca\\.?)?(${N})(?:ish|\\?)?$`, "i");
const TWO_BY_COMMA = /^\d+,\d+$/;
const MOST_PASSES = 500;

class Fault {
  constructor(readonly rule: string, readonly at: ReadingsFault["at"] = "readings") {}
}

interface Cell {
  kind: PassKind;
  readings: number[];
  silent: number;
  approximate: boolean;
}

/** One spelling for the signs that keyboards and phones put in place of a hyphen, a space or a times sign. */
const plain = (cell: string): string => {
  const text = cell.trim();
  if (/^[\dx.,;/|-]+(?: [\dx.,;/|-]+)*$/i.test(text)) return text;
  return text.replace(/[\u2010-\u2015\u2212]/g, "-").replace(/[\s\u00a0\u2007\u202f]+/g, " ").replace(
    /\u00d7/g,
    "x",
  )
    .replace(/\u2248/g, "~").replace(/^(?:about|circa) (?=\d)/i, "~").replace(/~ (?=\d)/g, "~")
    .replace(/\b(ca?\.?) (?=\d)/gi, "$1");
};

const onGrid = (scale: Machine["scale"], value: number): boolean => {
  const steps = (value - scale.low) / scale.step;
  return Math.abs(steps - Math.round(steps)) < 1e-6;
};

function interpret(text: string, options: ReadReadingsOptions, notes: Set<string>): Cell {
  const cell: Cell = { kind: "passes", readings: [], silent: 0, approximate: false };

  // The most frequent cell by far, which none of the rules below reads otherwise.
  if (/^\d+(?: \d+)*$/.test(text) && text.length < MOST_PASSES) {
    return { ...cell, readings: text.split(" ").map(Number) };
  }

  const triple = TRIPLE.exec(text);
  if (triple !== null) {
    const [low, usual, high] = [Number(triple[1]) + 0, Number(triple[2]) + 0, Number(triple[3]) + 0];
    if (!(low! <= usual! && usual! <= high!)) {
      throw new Fault("three numbers joined by hyphens must be lowest, usual and highest, in rising order");
    }
    notes.add(READINGS_NOTES.triple);
    return { ...cell, kind: "low-usual-high", readings: [low!, usual!, high!] };
  }

  const spacedMinus = SPACED_MINUS.exec(text);
  if (spacedMinus !== null) {
    if (options.scale !== undefined && options.scale.low >= 0) {
      throw new Fault(
        "write 38-42 or 38 - 42 for a range: a minus sign close before a number makes it negative, and the scale has none",
      );
    }
    if (Number(spacedMinus[1]) >= 0) notes.add(READINGS_NOTES.minus);
    return { ...cell, readings: [Number(spacedMinus[1]) + 0, 0 - Number(spacedMinus[2])] };
  }

  const range = RANGE.exec(text);
  if (range !== null) {
    const [from, to] = [Number(range[1]) + 0, Number(range[2]) + 0];
    notes.add(READINGS_NOTES.range);
    if (from! > to!) notes.add(READINGS_NOTES.rangeTurned);
    return { ...cell, kind: "range", readings: from! <= to! ? [from!, to!] : [to!, from!] };
  }

  const half = HALF_SPACED_COUNT.exec(text);
  if (half !== null) text = `${half[1]}x${half[2] ?? half[3]}`;

  const spaced = SPACED_COUNT.exec(text);
  if (spaced !== null) {
    const reading = Number(spaced[1]) + 0, times = Number(spaced[2]);
    const silentColumn = options.silent ?? null;
    const passesColumn = options.passes ?? null;
    const couldBeCount = times >= 2 && times <= 12 && (passesColumn === null || passesColumn === times) &&
      (silentColumn === null || silentColumn === 0);
    const couldBeSilent = (passesColumn === null || passesColumn === 3) &&
      (silentColumn === null || silentColumn === 1);
    const stepped = options.scale !== undefined && options.scale.step > 1 && onGrid(options.scale, times);
    const silent = couldBeCount !== couldBeSilent
      ? couldBeSilent
      : (options.spacedX ?? (stepped ? "silent" : "count")) === "silent";
    notes.add(silent ? READINGS_NOTES.spacedSilent : READINGS_NOTES.count);
    return silent
      ? { ...cell, readings: [reading, times], silent: 1 }
      : { ...cell, readings: Array.from({ length: times }, () => reading) };
  }

  if (TWO_BY_COMMA.test(text)) notes.add(READINGS_NOTES.comma);
  else if (/ /.test(text) && /\d,\d/.test(text)) {
    throw new Fault(
      "commas without a space stand beside spaces: write a decimal point, or a space after each comma",
    );
  }

  const tokens = text.split(/[ ,;/|]+/).filter((token) => token !== "");
  if (tokens.length === 0) throw new Fault("must hold a number, or x for a pass that gave none");
  tokens.forEach((token, i) => {
    if (NUMBER.test(token)) return cell.readings.push(Number(token) + 0);
    if (token === "." || token === "x" || token === "X") {
      cell.silent++;
      const next = tokens[i + 1];
      if (
        token !== "." && next !== undefined && /^\d{1,2}$/.test(next) && Number(next) >= 2 &&
        Number(next) <= 12
      ) {
        notes.add(cell.readings.length > 0 ? READINGS_NOTES.spacedSilent : READINGS_NOTES.leadingSilent);
      }
      return;
    }
    const count = GLUED_COUNT.exec(token);
    if (count !== null) {
      const times = Number(count[2]);
      if (times < 1 || times > 50) throw new Fault("the count after an x must be from 1 to 50");
      notes.add(READINGS_NOTES.count);
      for (let k = 0; k < times; k++) cell.readings.push(Number(count[1]) + 0);
      return;
    }
    const rough = ROUGH.exec(token);
    if (rough !== null) {
      notes.add(READINGS_NOTES.approximate);
      cell.approximate = true;
      return cell.readings.push(Number(rough[1]) + 0);
    }
    if (token === "-" || token === "--") {
      throw new Fault(
        "a lone hyphen could be an empty cell or a silent pass: leave the cell empty, or write x",
      );
    }
    if (RANGE.test(token) || TRIPLE.test(token) || token.toLowerCase() === "to") {
      throw new Fault("a range must stand alone in its cell");
    }
    if (/^[\d.]+$/.test(token)) {
      throw new Fault("a point must stand inside a number, or alone for a pass that gave none");
    }
    throw new Fault("must be readings: numbers, with x for a pass that gave none");
  });
  if (cell.readings.length + cell.silent > MOST_PASSES) {
    throw new Fault(`must be ${MOST_PASSES} passes or fewer`);
  }
  return cell;
}

/**
 * Reads one readings cell by the printed rules, with the counts beside it folded in.
 *
 * Numbers are passes in order, split by spaces, commas, semicolons, slashes or bars; `x` or `.` alone is a pass that
 * gave no number; `-5` is a negative number. `38-42`, `38 - 42` and `38 to 42` are the lowest and highest reading,
 * `38-40-44` lowest, usual and highest: summaries, not passes, so that their `passes` is null unless the passes_ column
 * tells. `38x3` and `38 x 3` are three passes of 38, but on a scale with steps above 1 the spaced form is 38, silent, 3
 * where 3 is a reading the machine can show, and counts beside the cell decide first. `40ish`, `~40`, `c. 40` and `40?`
 * are rough numbers. Anything that could be two things is listed in `assumptions`; anything else is a fault. The
 * texts given never hold the value itself.
 *
 * @example
 * ```ts
 * import { readReadings } from "overiron";
 * const read = readReadings("38 x 40 41", { scale: { low: 0, high: 600, step: 1 } });
 * if ("fault" in read || read.passes?.silent !== 1 || read.passes.passes !== 4) throw new Error("wrong");
 * const range = readReadings("38 - 42");
 * if ("fault" in range || range.passes?.kind !== "range" || range.passes.passes !== null) throw new Error("wrong");
 * if (!("fault" in readReadings("thirty"))) throw new Error("wrong");
 * ```
 */
export function readReadings(cell: string, options: ReadReadingsOptions = {}): ReadReadings | ReadingsFault {
  const { scale, silent = null, passes = null } = options;
  const text = plain(cell);
  const notes = new Set<string>();
  const flags = new Set<string>();
  const done = (value: Passes | null): ReadReadings => ({
    passes: value,
    assumptions: [...notes],
    flags: [...flags],
  });
  const fault = (rule: string, at: ReadingsFault["at"] = "readings"): ReadingsFault => ({ fault: rule, at });

  if (text === "") {
    if (silent !== null && silent > 0) {
      if (passes !== null && passes !== silent) {
        return fault("readings are missing: the passes that gave a number are not written", "passes");
      }
      return done({ written: "", kind: "passes", readings: [], silent, passes: silent, approximate: false });
    }
    if (passes !== null && passes > 0) {
      return fault("passes are counted, but neither readings nor silent passes are written", "passes");
    }
    return done(null);
  }

  let read: Cell;
  try {
    read = interpret(text, options, notes);
  } catch (error) {
    if (error instanceof Fault) return fault(error.rule, error.at);
    throw error;
  }
  for (const reading of read.readings) {
    if (scale === undefined) break;
    if (reading < scale.low) {
      return fault(`a reading lies below the machine's scale, which begins at ${scale.low}`);
    }
    if (reading > scale.high) {
      return fault(`a reading lies above the machine's scale, which ends at ${scale.high}`);
    }
    if (!onGrid(scale, reading)) flags.add(READINGS_NOTES.offStep);
  }

  if (silent !== null && read.silent > 0 && silent !== read.silent) {
    return fault(`the silent passes written in the cell are not as many as the column says`, "silent");
  }
  const silentAll = silent ?? read.silent;
  if (read.kind !== "passes") {
    if (passes !== null && passes < silentAll + (read.readings[0] === read.readings.at(-1) ? 1 : 2)) {
      return fault("there are fewer passes than the lowest, the highest and the silent ones need", "passes");
    }
    return done({
      written: cell.trim(),
      kind: read.kind,
      readings: read.readings,
      silent: silentAll,
      passes,
      approximate: read.approximate,
    });
  }
  const written = read.readings.length + silentAll;
  if (passes !== null && passes < written) {
    return fault("there are fewer passes than readings and silent ones together", "passes");
  }
  if (passes !== null && passes > written) {
    if (read.readings.length === 1) notes.add(READINGS_NOTES.usual);
    else if (silent === null) {
      return fault(
        "there are more passes than readings, and the silent column does not say how many gave none",
        "passes",
      );
    }
    flags.add(READINGS_NOTES.fewer);
  }
  return done({
    written: cell.trim(),
    kind: "passes",
    readings: read.readings,
    silent: silentAll,
    passes: passes ?? written,
    approximate: read.approximate,
  });
}
