import { checkValues } from "./_check_values.ts";
import { chance } from "./chance.ts";

export interface SignFlipTestOptions {
  /** Most differences for which every pattern of signs is counted. Default 20. */
  readonly mostExact?: number;
  /** Patterns drawn where there are more. Default 20000. */
  readonly replicates?: number;
  /** Seed of the draws; needed where there are more than `mostExact`. */
  readonly seed?: number;
  /** Name of the stream of chance. Default "numbers/sign-flip". */
  readonly name?: string;
}

/** Where the sum of differences stands among those of other patterns of signs. */
export interface SignFlipResult {
  /** The sum of the differences as they are. */
  readonly total: number;
  /** Patterns looked at; where drawn, the one seen is among them. */
  readonly arrangements: number;
  /** Patterns with a sum as high or higher. */
  readonly atLeast: number;
  /** Patterns with a sum as far from 0 or further. */
  readonly twoSided: number;
  readonly p: number;
  readonly pTwoSided: number;
  /** Whether every pattern was counted. */
  readonly exact: boolean;
}

/**
 * Tests paired differences by asking how often random signs would give a sum as far from 0.
 *
 * @param differences Finite numbers, one a pair, at least one; zeros take part.
 * @returns Counts and p values, 0 to 1. Sums count as equal within 1e-9 of the sum of absolute differences.
 *
 * Source: Fisher (1935), The Design of Experiments, section 21; drawn p values count the observed pattern in (Phipson and Smyth
 * 2010, Statistical Applications in Genetics and Molecular Biology 9:39).
 * Throws RangeError for no values, values that are not finite, or draws without a seed.
 *
 * @example
 * ```ts
 * import { signFlipTest } from "overiron";
 * if (signFlipTest([1, 2, 3]).pTwoSided !== 0.25) throw new Error("wrong");
 * ```
 */
export function signFlipTest(
  differences: ArrayLike<number>,
  options: SignFlipTestOptions = {},
): SignFlipResult {
  const { mostExact = 20, replicates = 20_000, seed, name = "numbers/sign-flip" } = options;
  checkValues("flip signs", differences);
  const n = differences.length;
  let total = 0, reach = 0;
  for (let i = 0; i < n; i++) {
    total += differences[i]!;
    reach += Math.abs(differences[i]!);
  }
  const slack = 1e-9 * reach;
  const exact = n <= mostExact;
  let atLeast = 0, twoSided = 0;
  const look = (sum: number): void => {
    if (sum >= total - slack) atLeast++;
    if (Math.abs(sum) >= Math.abs(total) - slack) twoSided++;
  };
  const arrangements = exact ? 2 ** n : replicates + 1;
  if (exact) {
    for (let pattern = 0; pattern < arrangements; pattern++) {
      let sum = 0;
      for (let i = 0; i < n; i++) sum += pattern & (1 << i) ? -differences[i]! : differences[i]!;
      look(sum);
    }
  } else {
    if (seed === undefined) {
      throw new RangeError(`Cannot flip signs: ${n} differences need a seed to draw from, got none`);
    }
    look(total);
    for (let replicate = 0; replicate < replicates; replicate++) {
      const draw = chance(seed, name, replicate);
      let sum = 0;
      for (let i = 0; i < n; i++) sum += draw.next() < 0.5 ? -differences[i]! : differences[i]!;
      look(sum);
    }
  }
  return {
    total,
    arrangements,
    atLeast,
    twoSided,
    p: atLeast / arrangements,
    pTwoSided: twoSided / arrangements,
    exact,
  };
}
