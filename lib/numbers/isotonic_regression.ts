import { checkValues } from "./_check_values.ts";
import { checkWeights } from "./_check_columns.ts";

export interface IsotonicRegressionOptions {
  /** Weight of each value, above 0. Default 1. */
  readonly weights?: ArrayLike<number>;
}

/**
 * Gives the rising sequence nearest to some values in weighted squares: pools neighbours that fall until none does.
 *
 * @param values Finite numbers in the order of what they depend on.
 * @returns One fitted value each, never falling, in the unit of the values.
 *
 * Source: the pool-adjacent-violators algorithm, Barlow, Bartholomew, Bremner and Brunk (1972), Statistical Inference under Order
 * Restrictions. Throws RangeError for values that are not finite or weights that are not above 0.
 *
 * @example
 * ```ts
 * import { isotonicRegression } from "overiron";
 * if (isotonicRegression([1, 3, 2]).join() !== "1,2.5,2.5") throw new Error("wrong");
 * ```
 */
export function isotonicRegression(
  values: ArrayLike<number>,
  options: IsotonicRegressionOptions = {},
): Float64Array {
  const { weights } = options;
  checkValues("fit a rising sequence", values, 0);
  checkWeights("fit a rising sequence", weights, values.length);
  const pools: { sum: number; weight: number; count: number }[] = [];
  for (let i = 0; i < values.length; i++) {
    const weight = weights?.[i] ?? 1;
    if (weight === 0) {
      throw new RangeError(`Cannot fit a rising sequence: weights must be above 0, got 0 at index ${i}`);
    }
    let pool = { sum: values[i]! * weight, weight, count: 1 };
    for (
      let last = pools.at(-1);
      last && last.sum / last.weight >= pool.sum / pool.weight;
      last = pools.at(-1)
    ) {
      pool = { sum: last.sum + pool.sum, weight: last.weight + pool.weight, count: last.count + pool.count };
      pools.pop();
    }
    pools.push(pool);
  }
  const out = new Float64Array(values.length);
  let at = 0;
  for (const { sum, weight, count } of pools) out.fill(sum / weight, at, at += count);
  return out;
}
