import type { Passes } from "../log/mod.ts";
import { OUTCOMES } from "./classifier.ts";
import { TWO_CLASSES } from "./score_engine.ts";
import type { TableStudy } from "./study_table.ts";

/** A signal whose outcome an engine held unlikely. */
export interface Miss {
  readonly signal: string;
  readonly outcome: string;
  /** What the engine held likeliest. */
  readonly called: string;
  /** The chance it gave to what came out. */
  readonly chance: number;
  /** The readings as written: right, left, cross; "not logged" where there is no cell. */
  readonly readings: readonly [string, string, string];
}

const written = (passes: Passes | null): string => passes === null ? "not logged" : passes.written;

/**
 * Lists the signals whose outcome an engine held least likely, worst first, with their readings: the holes to learn from.
 *
 * Chances are from models that had not seen the signal's site. `most` is how many, 20 unless told. Throws RangeError for an
 * engine that gave no predictions.
 *
 * @example
 * ```ts
 * import { worstMisses, studyTable } from "overiron";
 * const none = new Int32Array(0);
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * const x = { n: 0, names: ["centre"], columns: [new Float64Array(0)], whyMissing: [new Uint8Array(0)], groups: { site: none, outing: none, observer: none } };
 * const leftOut = { unknown: 0, "nothing-found": 0, stopped: 0, hazard: 0, "not-dug": 0 };
 * const table = { machine, discrimination: "none" as const, signals: [], x, outcome: new Uint8Array(0), leftOut };
 * const study = await studyTable(table, { seed: 1 });
 * let message = "";
 * try {
 *   worstMisses(study, "forest");
 * } catch (error) {
 *   message = (error as Error).message;
 * }
 * if (!message.includes("must have predictions")) throw new Error(message);
 * ```
 */
export function worstMisses(
  study: TableStudy,
  engine: string,
  options: { readonly most?: number } = {},
): Miss[] {
  const { most = 20 } = options;
  const found = study.outOfFold.find(({ name }) => name === engine);
  if (found?.kind !== "predicted") {
    throw new RangeError(`Cannot list misses: the engine must have predictions, got "${engine}"`);
  }
  const { table, allowance } = study, p = found.probabilities;
  const names: readonly string[] = allowance.classes === "three" ? OUTCOMES : TWO_CLASSES;
  const sharesOf = (row: number): number[] =>
    names.length === 3
      ? [p[3 * row]!, p[3 * row + 1]!, p[3 * row + 2]!]
      : [p[3 * row]!, p[3 * row + 1]! + p[3 * row + 2]!];
  const truth = (row: number) => Math.min(table.outcome[row]!, names.length - 1);
  const chance = (row: number) => sharesOf(row)[truth(row)]!;
  const order = [...table.outcome.keys()].sort((a, b) => chance(a) - chance(b) || a - b);
  return order.slice(0, most).flatMap((row) => {
    const shares = sharesOf(row), called = shares.indexOf(Math.max(...shares));
    if (called === truth(row)) return [];
    const signal = table.signals[row]!;
    return [{
      signal: signal.signal_id,
      outcome: names[truth(row)]!,
      called: names[called]!,
      chance: chance(row),
      readings: [written(signal.right), written(signal.left), written(signal.cross)] as const,
    }];
  });
}
