import { absent } from "./estimate.ts";
import { checkValues } from "./_check_values.ts";
import { mean } from "./mean.ts";
import { type Measure, measured } from "./measure.ts";

/** Names of the three usual forms: population moments (g), adjusted for bias (G), and with the sample variance (b). */
export type ShapeForm = "g" | "G" | "b";

export interface ShapeOptions {
  /** Which form to give. Default "g": the plain ratio of population moments. */
  readonly form?: ShapeForm;
}

/**
 * Gives the skewness of some numbers: above 0 when the long tail points to large values.
 *
 * @param values Finite numbers; leave missing values out first.
 * @returns Skewness g1, G1 or b1 of Joanes and Gill (1998), The Statistician 47:183-189; absent with fewer than three values
 * or where all are equal.
 *
 * Throws RangeError for no values or a value that is not finite.
 *
 * @example
 * ```ts
 * import { isMeasured, skewness } from "overiron";
 * const even = skewness([1, 2, 3]);
 * if (!isMeasured(even) || even.value !== 0) throw new Error("wrong");
 * ```
 */
export function skewness(values: ArrayLike<number>, options: ShapeOptions = {}): Measure {
  const { form = "g" } = options;
  const n = values.length;
  const [second, third] = moments(values);
  if (n < 3) return absent("too few", `Skewness needs three values, got ${n}`, { values: n });
  if (second === 0) return absent("undefined", "All values are equal", { values: n });
  const g = third / second ** 1.5;
  const factor = form === "g" ? 1 : form === "G" ? Math.sqrt(n * (n - 1)) / (n - 2) : ((n - 1) / n) ** 1.5;
  return measured(g * factor, { values: n });
}

/**
 * Gives the excess kurtosis of some numbers: 0 for the normal distribution, above 0 with heavy tails.
 *
 * @param values Finite numbers; leave missing values out first.
 * @returns Kurtosis g2, G2 or b2 of Joanes and Gill (1998), The Statistician 47:183-189; absent with fewer than four values
 * or where all are equal.
 *
 * Throws RangeError for no values or a value that is not finite.
 *
 * @example
 * ```ts
 * import { isMeasured, kurtosis } from "overiron";
 * const twoPoints = kurtosis([-1, -1, 1, 1]);
 * if (!isMeasured(twoPoints) || twoPoints.value !== -2) throw new Error("wrong");
 * ```
 */
export function kurtosis(values: ArrayLike<number>, options: ShapeOptions = {}): Measure {
  const { form = "g" } = options;
  const n = values.length;
  const [second, , fourth] = moments(values);
  if (n < 4) return absent("too few", `Kurtosis needs four values, got ${n}`, { values: n });
  if (second === 0) return absent("undefined", "All values are equal", { values: n });
  const g = fourth / second ** 2 - 3;
  if (form === "g") return measured(g, { values: n });
  if (form === "b") return measured((g + 3) * ((n - 1) / n) ** 2 - 3, { values: n });
  return measured(((n + 1) * g + 6) * (n - 1) / ((n - 2) * (n - 3)), { values: n });
}

/** Second, third and fourth moments about the mean, with n in the denominator. */
function moments(values: ArrayLike<number>): [number, number, number] {
  checkValues("describe a shape", values);
  const centre = mean(values);
  let second = 0, third = 0, fourth = 0;
  for (let i = 0; i < values.length; i++) {
    const square = (values[i]! - centre) ** 2;
    second += square;
    third += square * (values[i]! - centre);
    fourth += square * square;
  }
  return [second / values.length, third / values.length, fourth / values.length];
}
