import { checkCount, checkLevel } from "./_check_values.ts";
import { betaQuantile } from "./beta_distribution.ts";
import type { Interval } from "./estimate.ts";
import { normalQuantile } from "./normal_distribution.ts";

/** Names of the intervals for a proportion. */
export type ProportionMethod = "wilson" | "wilson-corrected" | "clopper-pearson" | "jeffreys" | "wald";

export interface ProportionIntervalOptions {
  /** Which interval. Default "wilson": the score interval, close to its level even with few cases. */
  readonly method?: ProportionMethod;
  /** Level, above 0 and below 1. Default 0.95. */
  readonly level?: number;
}

const names: Record<ProportionMethod, string> = {
  "wilson": "Wilson",
  "wilson-corrected": "Wilson with continuity correction",
  "clopper-pearson": "Clopper-Pearson",
  "jeffreys": "Jeffreys",
  "wald": "Wald",
};

/**
 * Gives an interval for the proportion behind a number of successes among n cases.
 *
 * @param successes Whole number from 0 to n.
 * @param n Whole number of cases, 1 or above: nothing can be said of none (see `shareEstimate`).
 * @returns Limits in 0 to 1; Wald's alone are not cut there, so that its faults can be shown. Except for Wald and Jeffreys
 * the lower limit is exactly 0 at no success and the upper exactly 1 at no failure.
 *
 * Sources: Newcombe (1998), Statistics in Medicine 17:857-872 (Wilson, corrected Wilson: his methods 3 and 4; Wald: 1);
 * Clopper and Pearson (1934), Biometrika 26:404-413; Jeffreys by Brown, Cai and DasGupta (2001), Statistical Science 16:101-133,
 * equal-tailed and without their change at the ends.
 *
 * Throws RangeError for counts that are not such whole numbers, a level outside 0 to 1, or an unknown method.
 *
 * @example
 * ```ts
 * import { proportionInterval } from "overiron";
 * const { low, high } = proportionInterval(0, 20);
 * if (low !== 0 || high.toFixed(4) !== "0.1611") throw new Error("wrong");
 * ```
 */
export function proportionInterval(
  successes: number,
  n: number,
  options: ProportionIntervalOptions = {},
): Interval {
  const { method = "wilson", level = 0.95 } = options;
  const doing = "give an interval for a proportion";
  checkCount(doing, "successes", successes);
  checkCount(doing, "n", n);
  checkLevel(doing, level);
  if (n === 0) throw new RangeError(`Cannot ${doing}: n must be 1 or above, got 0`);
  if (successes > n) {
    throw new RangeError(`Cannot ${doing}: successes must be at most n = ${n}, got ${successes}`);
  }
  if (!(method in names)) throw new RangeError(`Cannot ${doing}: unknown method, got ${method}`);
  const [low, high] = limits(successes, n, method, level);
  return { low, high, level, method: names[method] };
}

function limits(x: number, n: number, method: ProportionMethod, level: number): [number, number] {
  const failures = n - x;
  const tail = (1 - level) / 2;
  if (method === "clopper-pearson") {
    return [
      x === 0 ? 0 : betaQuantile(tail, [x, failures + 1]),
      failures === 0 ? 1 : 1 - betaQuantile(tail, [failures, x + 1]),
    ];
  }
  if (method === "jeffreys") {
    return [betaQuantile(tail, [x + 0.5, failures + 0.5]), 1 - betaQuantile(tail, [failures + 0.5, x + 0.5])];
  }
  const z = -normalQuantile(tail);
  const p = x / n, q = failures / n;
  if (method === "wald") {
    const half = z * Math.sqrt(p * q / n);
    return [p - half, p + half];
  }
  // The upper limit for successes is one less the lower limit for failures.
  const lower = method === "wilson" ? wilsonLower : correctedLower;
  return [x === 0 ? 0 : lower(x, n, z), failures === 0 ? 1 : 1 - lower(failures, n, z)];
}

function wilsonLower(x: number, n: number, z: number): number {
  return (2 * x + z * z - z * Math.sqrt(z * z + 4 * x * (n - x) / n)) / (2 * (n + z * z));
}

function correctedLower(x: number, n: number, z: number): number {
  const q = (n - x) / n;
  const root = Math.sqrt(z * z - 2 - 1 / n + 4 * (x / n) * (n * q + 1));
  return Math.max(0, (2 * x + z * z - 1 - z * root) / (2 * (n + z * z)));
}
