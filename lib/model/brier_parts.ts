import type { Estimate } from "../numbers/mod.ts";
import { heightOf, risingCurve } from "./_rising_curve.ts";
import { ratioBySite } from "./ratio_by_site.ts";

/** The parts of a Brier score summed over three outcomes: brier = miscalibration - discrimination + uncertainty. */
export interface BrierParts {
  /** 0 to 2, lower is better. */
  readonly brier: Estimate;
  /** What a correction of the chances could save: 0 where each chance means what it says. */
  readonly miscalibration: Estimate;
  /** What the chances, so corrected, save over always giving the shares of the outcomes. */
  readonly discrimination: Estimate;
  /** The score of always giving those shares. */
  readonly uncertainty: Estimate;
}

/**
 * Splits the Brier score of out-of-fold probabilities into what is lost by chances that do not mean what they say, what is gained
 * by telling signals apart, and what nobody can help.
 *
 * Murphy's split (1973, Journal of Applied Meteorology 12:595-600) without bins: the chance of each outcome is held against the best
 * rising curve through what came out (Dimitriadis, Gneiting and Jordan 2021, PNAS 118:e2016191118), and the parts of the three
 * outcomes are added. The sum is exact. The curve is fitted to these very rows, so miscalibration and discrimination are both a little large
 * where rows are few. Intervals by group take the curve as given (see {@link ratioBySite}).
 *
 * `probabilities` is n x 3 by row, `outcome` 0, 1 or 2 a row. Throws RangeError when lengths differ.
 *
 * @example
 * ```ts
 * import { brierParts, isPresent } from "overiron";
 * const p = Float64Array.of(0.9, 0.1, 0, 0.9, 0.1, 0, 0.2, 0.8, 0, 0.2, 0.8, 0);
 * const parts = brierParts(p, Uint8Array.of(0, 0, 1, 1), { group: Int32Array.of(0, 1, 0, 1) });
 * if (!isPresent(parts.discrimination) || Math.abs(parts.discrimination.value - 0.5) > 1e-12) throw new Error("all told apart");
 * ```
 */
export function brierParts(
  probabilities: Float64Array,
  outcome: Uint8Array,
  options: { readonly group: Int32Array; readonly groups?: string },
): BrierParts {
  const { group, groups = "sites" } = options;
  const n = outcome.length;
  if (probabilities.length !== 3 * n || group.length !== n) {
    throw new RangeError(
      `Cannot split a Brier score: need 3 probabilities and one group a row, got ${probabilities.length} and ${group.length} for ${n} rows`,
    );
  }
  const raw = new Float64Array(n), curved = new Float64Array(n), flat = new Float64Array(n);
  for (let k = 0; k < 3; k++) {
    const given = Float64Array.from(outcome, (_, i) => probabilities[3 * i + k]!);
    const came = Float64Array.from(outcome, (code) => code === k ? 1 : 0);
    const base = came.reduce((sum, each) => sum + each, 0) / Math.max(1, n);
    const curve = risingCurve(given, came), shares = given.map((chance) => heightOf(curve, chance));
    for (let i = 0; i < n; i++) {
      raw[i]! += (given[i]! - came[i]!) ** 2;
      curved[i]! += (shares[i]! - came[i]!) ** 2;
      flat[i]! += (base - came[i]!) ** 2;
    }
  }
  const one = new Float64Array(n).fill(1);
  const meanOf = (value: (i: number) => number) =>
    ratioBySite(Float64Array.from(outcome, (_, i) => value(i)), one, group, { groups });
  return {
    brier: meanOf((i) => raw[i]!),
    miscalibration: meanOf((i) => raw[i]! - curved[i]!),
    discrimination: meanOf((i) => flat[i]! - curved[i]!),
    uncertainty: meanOf((i) => flat[i]!),
  };
}
