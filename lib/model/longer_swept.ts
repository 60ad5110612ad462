import { absent, type Estimate, median } from "../numbers/mod.ts";
import { OUTCOMES } from "./classifier.ts";
import type { LearningTable, SignalTable } from "./season_tables.ts";
import { separationBySite } from "./separation_by_site.ts";

/** Whether a feature is larger only because a signal was swept longer. */
export interface LongerSwept {
  readonly feature: string;
  /** Chance that, of two signals of one outcome, the one swept longer has the higher value; a half is no growth. */
  readonly longerHigher: Estimate;
}

/**
 * Counts the passes of a signal, right and left, silent ones too; NaN where a cell is a summary that does not say.
 *
 * @example
 * ```ts
 * import { passesOfSignal } from "overiron";
 * if (passesOfSignal({ right: null, left: null }) !== 0) throw new Error("no pass");
 * ```
 */
export function passesOfSignal(
  { right, left }: Pick<SignalTable["signals"][number], "right" | "left">,
): number {
  return [right, left].reduce((sum, cell) => sum + (cell === null ? 0 : cell.passes ?? NaN), 0);
}

/**
 * Tells whether features grow with how long a signal was swept, among signals of one outcome, so that what lay there does not come into it.
 * People sweep longer where they hesitate: a feature that grew with the passes would learn the hesitation.
 *
 * Longer is more passes than the median of that outcome. Outcome 0 ferrous (the default), 1 non-ferrous, 2 masked good. Intervals by site.
 * Absent where all were swept alike. Throws RangeError for a feature that the table lacks.
 *
 * @example
 * ```ts
 * import { longerSwept } from "overiron";
 * const none = new Int32Array(0);
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * const x = { n: 0, names: ["centre"], columns: [new Float64Array(0)], whyMissing: [new Uint8Array(0)], groups: { site: none, outing: none, observer: none } };
 * const leftOut = { unknown: 0, "nothing-found": 0, stopped: 0, hazard: 0, "not-dug": 0 };
 * const table = { machine, discrimination: "none" as const, signals: [], x, outcome: new Uint8Array(0), leftOut };
 * if (!("absent" in longerSwept(table, ["centre"])[0]!.longerHigher)) throw new Error("growth of nothing");
 * ```
 */
export function longerSwept(
  table: LearningTable,
  features: readonly string[],
  options: { readonly outcome?: 0 | 1 | 2; readonly level?: number } = {},
): LongerSwept[] {
  const { outcome = 0, level = 0.95 } = options;
  const { x, signals } = table;
  const passes = signals.map(passesOfSignal);
  const held = passes.filter((count, i) => table.outcome[i] === outcome && !Number.isNaN(count));
  const middle = held.length === 0 ? 0 : median(Float64Array.from(held));
  const kind = passes.map((count, i) =>
    table.outcome[i] !== outcome || Number.isNaN(count) ? -1 : count > middle ? 1 : 0
  );
  return features.map((feature) => {
    const place = x.names.indexOf(feature);
    if (place < 0) {
      throw new RangeError(
        `Cannot tell growth with passes: feature must be one of ${x.names.join(", ")}, got "${feature}"`,
      );
    }
    if (held.length > 0 && !kind.includes(1)) {
      const reason = `All ${OUTCOMES[outcome]} signals were swept alike`;
      return { feature, longerHigher: absent("swept alike", reason, { signals: held.length }) };
    }
    const longerHigher = separationBySite(x.columns[place]!, kind, x.groups.site, {
      level,
      kinds: ["swept longer", "others"],
    });
    return { feature, longerHigher };
  });
}
