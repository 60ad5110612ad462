import { FEW } from "./_place_number.ts";

/**
 * Sorts finite numbers in rising order where they are, and gives them back.
 *
 * @example
 * ```ts
 * import { sortNumbers } from "overiron";
 * if (sortNumbers(Float64Array.of(10, 9, 1)).join() !== "1,9,10") throw new Error("wrong");
 * ```
 */
export function sortNumbers(values: Float64Array): Float64Array {
  if (values.length > FEW) return values.sort();
  for (let i = 1; i < values.length; i++) {
    const value = values[i]!;
    let at = i - 1;
    while (at >= 0 && values[at]! > value) {
      values[at + 1] = values[at]!;
      at--;
    }
    values[at + 1] = value;
  }
  return values;
}
