import { absent, type Estimate, isPresent, present, studentQuantile } from "../numbers/mod.ts";

/**
 * Tells how many more cases would halve the interval of an estimate that goes by site, if they came from new sites with as many cases
 * each: the smallest growth f at which t(f G - 1) / sqrt(f) is half of t(G - 1), G the sites, t Student's quantile; the cases are
 * (f - 1) times those there are.
 *
 * It assumes that new sites differ as the old ones do and that the value stays: an order of size, not a promise. Today's width is itself
 * a draw, its square as chi-squared over G - 1 (by the cube of Wilson and Hilferty 1931, PNAS 17:684); the answer's interval is what follows from that.
 *
 * `cases` and `sites` name the counts in the estimate's `n`. Absent where the estimate is, with under three sites, or where it lies at 0 or 1, whose interval
 * is no sum over sites. Throws RangeError for a count that is not there.
 *
 * @example
 * ```ts
 * import { casesToHalve, isPresent, present } from "overiron";
 * const recall = present(0.5, { low: 0.3, high: 0.7, level: 0.95, method: "by site" }, { signals: 60, sites: 1000 });
 * const more = casesToHalve(recall);
 * // With a thousand sites t no longer changes: four times as many cases, so three times as many more.
 * if (!isPresent(more) || more.value !== 180) throw new Error(JSON.stringify(more));
 * ```
 */
export function casesToHalve(
  estimate: Estimate,
  options: { readonly cases?: string; readonly sites?: string } = {},
): Estimate {
  const { cases = "signals", sites = "sites" } = options;
  if (!isPresent(estimate)) return estimate;
  const { n, value, interval } = estimate, there = n[cases], G = n[sites];
  if (there === undefined || G === undefined) {
    throw new RangeError(
      `Cannot tell cases to halve: n must count ${cases} and ${sites}, got ${Object.keys(n).join(", ")}`,
    );
  }
  if (G < 3) return absent("too few", `It needs 3 ${sites} to tell, got ${G}`, n);
  if (value <= 0 || value >= 1) return absent("at the edge", "The share is none or all of them", n);
  const p = (1 + interval.level) / 2, wanted = studentQuantile(p, G - 1) / 2;
  const more = (target: number): number => {
    let low = 0.01, high = 400;
    for (let step = 0; step < 60; step++) {
      const middle = Math.sqrt(low * high), df = Math.max(1, middle * G - 1);
      if (studentQuantile(p, df) / Math.sqrt(middle) > target) low = middle;
      else high = middle;
    }
    return Math.max(0, Math.round((high - 1) * there));
  };
  const df = G - 1, z = studentQuantile(p, Infinity);
  const spread = (sign: number): number => (1 - 2 / (9 * df) + sign * z * Math.sqrt(2 / (9 * df))) ** 3;
  const lucky = wanted * Math.sqrt(Math.max(spread(-1), 1e-3)), unlucky = wanted * Math.sqrt(spread(1));
  return present(more(wanted), {
    low: more(unlucky),
    high: more(lucky),
    level: interval.level,
    method: "width by chi-squared over sites",
  }, n);
}
