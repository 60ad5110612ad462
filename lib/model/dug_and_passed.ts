import type { Estimate } from "../numbers/mod.ts";
import { separationBySite } from "./separation_by_site.ts";
import type { SignalTable } from "./season_tables.ts";

/** How one feature differs between the signals that were dug and those that were passed by. */
export interface DugDifference {
  readonly feature: string;
  /** Chance that a dug signal has the higher value; a half is no difference. */
  readonly dugHigher: Estimate;
}

/**
 * Tells how the signals that were dug differ from those passed by, a feature at a time: only the dug have an outcome, so what a
 * model learns holds for signals like them.
 *
 * Stopped digs count as dug: the choice to dig is what is looked at. Intervals by site. Throws RangeError for a feature that the
 * table lacks.
 *
 * @example
 * ```ts
 * import { dugAndPassed } from "overiron";
 * const none = new Int32Array(0);
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * const x = { n: 0, names: ["centre"], columns: [new Float64Array(0)], whyMissing: [new Uint8Array(0)], groups: { site: none, outing: none, observer: none } };
 * const [centre] = dugAndPassed({ machine, discrimination: "none", signals: [], x }, ["centre"]);
 * if (!centre || !("absent" in centre.dugHigher)) throw new Error("a difference of nothing");
 * ```
 */
export function dugAndPassed(table: SignalTable, features: readonly string[]): DugDifference[] {
  const { x, signals } = table;
  const dug = signals.map((signal) => signal.dug === "no" ? 0 : 1);
  return features.map((feature) => {
    const place = x.names.indexOf(feature);
    if (place < 0) {
      throw new RangeError(
        `Cannot compare dug and passed: feature must be one of ${x.names.join(", ")}, got "${feature}"`,
      );
    }
    return {
      feature,
      dugHigher: separationBySite(x.columns[place]!, dug, x.groups.site, { kinds: ["dug", "passed by"] }),
    };
  });
}
