import {
  absent,
  type Counts,
  type Estimate,
  type Interval,
  present,
  studentQuantile,
} from "../numbers/mod.ts";

/** Options of {@link ratioBySite}. */
export interface RatioBySiteOptions {
  /** Level of the interval. Default 0.95. */
  readonly level?: number;
  /** "share": within 0..1, interval on the logit scale. "positive": above 0, interval on the log scale. "number": any number. Default "number". */
  readonly kind?: "share" | "positive" | "number";
  /** Name of what is counted below the line, for `n`. Default "signals". */
  readonly unit?: string;
  /** What the groups are, for `n`. Default "sites". */
  readonly groups?: string;
  /** The word and the sentence for a ratio of nothing. Default "no cases" and a sentence with the unit. */
  readonly nothing?: string;
}

/**
 * Gives a ratio of two sums with an interval that takes signals of one site as alike: recall, precision, a mean, holes a find.
 *
 * `above` and `below` are one number a row, `site` its group. The value is the sum of `above` over the sum of `below`. Its
 * variance is linearised over groups (Cochran 1977, Sampling Techniques, section 6; G / (G - 1) times the sum of squared
 * group residuals), its interval Student's t with G - 1 degrees of freedom, G the groups with a case below the line. A share
 * gets its interval on the logit scale, a positive number on the log scale; a share at 0, at 1 or without any variance it gets Wilson's (1927) for the effective number
 * of cases (sum b)^2 / sum b^2 over groups b (Kish 1965), as if all cases of a site were one.
 *
 * Absent with its reason where nothing lies below the line, or where all of it lies at one site.
 *
 * @example
 * ```ts
 * import { isPresent, ratioBySite } from "overiron";
 * const recall = ratioBySite([1, 0, 1, 1], [1, 1, 1, 1], Int32Array.of(0, 0, 1, 2), { kind: "share" });
 * if (!isPresent(recall) || recall.value !== 0.75 || recall.n.sites !== 3) throw new Error(JSON.stringify(recall));
 * ```
 */
export function ratioBySite(
  above: ArrayLike<number>,
  below: ArrayLike<number>,
  site: ArrayLike<number>,
  options: RatioBySiteOptions = {},
): Estimate {
  const { level = 0.95, kind = "number", unit = "signals", groups = "sites" } = options;
  if (above.length !== below.length || above.length !== site.length) {
    throw new RangeError(
      `Cannot give ratio: need equal lengths, got ${above.length}, ${below.length} and ${site.length}`,
    );
  }
  const sums = new Map<number, { a: number; b: number }>();
  let a = 0, b = 0, cases = 0;
  for (let i = 0; i < above.length; i++) {
    if (below[i]! === 0 && above[i]! === 0) continue;
    const group = sums.get(site[i]!) ?? { a: 0, b: 0 };
    group.a += above[i]!;
    group.b += below[i]!;
    sums.set(site[i]!, group);
    a += above[i]!;
    b += below[i]!;
    if (below[i]! !== 0) cases++;
  }
  const G = [...sums.values()].filter((group) => group.b !== 0).length;
  const n: Counts = { [unit]: cases, [groups]: G };
  if (!(b > 0)) return absent(options.nothing ?? "no cases", `There are no ${unit} to divide by`, n);
  if (G < 2) {
    return absent(
      `one ${groups.replace(/s$/, "")}`,
      `All ${unit} lie within one of the ${groups}: how much ${groups} differ cannot be told`,
      n,
    );
  }
  const value = a / b;
  let squares = 0, effective = 0;
  for (const group of sums.values()) {
    squares += (group.a - value * group.b) ** 2;
    effective += group.b ** 2;
  }
  const error = Math.sqrt(sums.size / (sums.size - 1) * squares) / b;
  const t = studentQuantile((1 + level) / 2, sums.size - 1);
  const method = `by ${groups.replace(/s$/, "")}, t with ${sums.size - 1} df`;
  if (kind === "positive" && value > 0) {
    const times = Math.exp(t * error / value);
    return present(
      value,
      { low: value / times, high: value * times, level, method: `${method}, log scale` },
      n,
    );
  }
  if (kind !== "share") {
    return present(value, { low: value - t * error, high: value + t * error, level, method }, n);
  }
  const share = Math.min(1, Math.max(0, value));
  return present(share, shareInterval(share, error, t, b ** 2 / effective, level, method), n);
}

function shareInterval(
  share: number,
  error: number,
  t: number,
  effective: number,
  level: number,
  method: string,
): Interval {
  if (share <= 0 || share >= 1 || !(error > 1e-12)) {
    const z = studentQuantile((1 + level) / 2, Infinity);
    const middle = (share + z * z / (2 * effective)) / (1 + z * z / effective);
    const reach = z / (1 + z * z / effective) *
      Math.sqrt(share * (1 - share) / effective + z * z / (4 * effective ** 2));
    const low = share <= 0 ? 0 : Math.max(0, middle - reach),
      high = share >= 1 ? 1 : Math.min(1, middle + reach);
    return { low, high, level, method: `Wilson, ${effective.toPrecision(3)} effective cases` };
  }
  const logit = Math.log(share / (1 - share)), half = t * error / (share * (1 - share));
  const back = (at: number) => 1 / (1 + Math.exp(-at));
  return { low: back(logit - half), high: back(logit + half), level, method: `${method}, logit scale` };
}
