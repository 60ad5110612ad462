import { checkProbability } from "./_check_values.ts";
import { betaDensity, incompleteBeta, solveIncreasing } from "./_special_functions.ts";

function checkShapes(a: number, b: number): void {
  for (const shape of [a, b]) {
    if (!(shape > 0 && Number.isFinite(shape))) {
      throw new RangeError(`Cannot use the beta distribution: both shapes must be above 0, got ${shape}`);
    }
  }
}

/**
 * Gives the probability that a variable with the beta distribution is at most x.
 *
 * @param x 0 to 1.
 * @param shapes The two shape parameters, each above 0.
 * @returns 0 to 1: the regularised incomplete beta function.
 *
 * Throws RangeError for a value outside these ranges.
 *
 * @example
 * ```ts
 * import { betaProbability } from "overiron";
 * if (Math.abs(betaProbability(0.5, [2, 2]) - 0.5) > 1e-15) throw new Error("wrong");
 * ```
 */
export function betaProbability(x: number, shapes: readonly [number, number]): number {
  checkShapes(...shapes);
  checkProbability("use the beta distribution", "x", x);
  return incompleteBeta(shapes[0], shapes[1], x);
}

/**
 * Gives the value that a variable with the beta distribution stays below with probability p.
 *
 * @param p Probability, 0 to 1.
 * @param shapes The two shape parameters, each above 0.
 * @returns 0 to 1, accurate to about 1e-13.
 *
 * Throws RangeError for a value outside these ranges.
 *
 * @example
 * ```ts
 * import { betaQuantile } from "overiron";
 * if (Math.abs(betaQuantile(0.25, [1, 1]) - 0.25) > 1e-13) throw new Error("wrong");
 * ```
 */
export function betaQuantile(p: number, shapes: readonly [number, number]): number {
  const [a, b] = shapes;
  checkShapes(a, b);
  checkProbability("use the beta distribution", "p", p);
  if (p === 0 || p === 1) return p;
  return solveIncreasing(
    (x) => incompleteBeta(a, b, x),
    (x) => betaDensity(a, b, x, 1 - x),
    p,
    [0, a / (a + b), 1],
  );
}
