import type { Estimate } from "../numbers/mod.ts";
import { ratioBySite } from "./ratio_by_site.ts";

/** Signals that were given about the same chance of being worth a hole. */
export interface CalibrationGroup {
  readonly signals: number;
  /** Mean of the chances given, with its interval by site. */
  readonly given: Estimate;
  /** Share that was worth a hole, with its interval by site. */
  readonly came: Estimate;
}

/** Options of {@link worthCalibration}. */
export interface WorthCalibrationOptions {
  /** Groups of equal numbers of signals. Default 5; fewer where a group would hold under 10. */
  readonly groupCount?: number;
  /** What the intervals go by, for `n`. Default "sites". */
  readonly groups?: string;
}

/** Mean chances nearer than this cannot be told apart in a figure. */
const LEAST_APART = 0.01;

/**
 * Holds the chances an engine gave of a signal being worth a hole against how often it was: groups of equal numbers of signals
 * in order of the chance given, with intervals by site.
 *
 * `probabilities` is n x 3 by row from models that had not seen the row, `outcome` 0, 1 or 2 a row, `site` what was kept whole.
 * Signals of one chance stay in one group, and groups whose mean chances lie less than a point of a hundred apart are one. Empty below 10 signals. Throws RangeError when lengths differ.
 *
 * @example
 * ```ts
 * import { isPresent, worthCalibration } from "overiron";
 * const n = 40, site = Int32Array.from({ length: n }, (_, i) => i % 4);
 * const outcome = Uint8Array.from({ length: n }, (_, i) => i < 20 ? 0 : 1);
 * const p = Float64Array.from({ length: 3 * n }, (_, at) => [at < 60 ? 0.9 : 0.2, at < 60 ? 0.05 : 0.7, at < 60 ? 0.05 : 0.1][at % 3]!);
 * const [low, high] = worthCalibration(p, outcome, { site });
 * if (!low || !high || !isPresent(low.came) || low.came.value !== 0) throw new Error("wrong");
 * ```
 */
export function worthCalibration(
  probabilities: Float64Array,
  outcome: Uint8Array,
  options: WorthCalibrationOptions & { readonly site: Int32Array },
): CalibrationGroup[] {
  const { groupCount = 5, groups = "sites", site } = options;
  const n = outcome.length;
  if (probabilities.length !== 3 * n || site.length !== n) {
    throw new RangeError(
      `Cannot calibrate: need 3 probabilities and one site a row, got ${probabilities.length} and ${site.length} for ${n} rows`,
    );
  }
  if (!Number.isSafeInteger(groupCount) || groupCount < 1) {
    throw new RangeError(
      `Cannot calibrate: groupCount must be a whole number of 1 or above, got ${groupCount}`,
    );
  }
  const chance = (row: number) => 1 - probabilities[3 * row]!;
  const rows = [...outcome.keys()].sort((a, b) => chance(a) - chance(b) || a - b);
  const wanted = Math.min(groupCount, Math.floor(n / 10));
  const parts: number[][] = [];
  const meanOf = (part: readonly number[]) => part.reduce((sum, row) => sum + chance(row), 0) / part.length;
  for (let from = 0, made = 1; from < n && wanted > 0; made++) {
    let to = Math.max(from + 1, Math.round(made * n / wanted));
    while (to < n && chance(rows[to]!) - chance(rows[to - 1]!) < 1e-12) to++;
    if (n - to < 5) to = n;
    const own = rows.slice(from, to), before = parts.at(-1);
    if (before && meanOf(own) - meanOf(before) < LEAST_APART) before.push(...own);
    else parts.push(own);
    from = to;
  }
  return parts.map((own): CalibrationGroup => {
    const one = own.map(() => 1), sites = own.map((row) => site[row]!);
    return {
      signals: own.length,
      given: ratioBySite(own.map(chance), one, sites, { kind: "share", groups }),
      came: ratioBySite(own.map((row) => outcome[row]! > 0 ? 1 : 0), one, sites, { kind: "share", groups }),
    };
  });
}
