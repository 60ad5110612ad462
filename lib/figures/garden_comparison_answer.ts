import type { ComparedBy, HalfGapComparison } from "../garden/mod.ts";
import { counted, isPresent } from "../numbers/mod.ts";
import { comparedWords } from "./garden_comparison_table.ts";
import { say, show, type Shown, stated } from "./show.ts";

/**
 * Says for each kind of comparison how many pairs could be tested, how many gave a p under 0.05, and the largest difference in half gap; recorded as `garden.comparisons` and
 * `garden.halfGapDifferenceCm`.
 *
 * @example
 * ```ts
 * import { gardenComparisonAnswer } from "overiron";
 * if (!gardenComparisonAnswer([]).text.startsWith("No pair")) throw new Error("wrong");
 * ```
 */
export function gardenComparisonAnswer(comparisons: readonly HalfGapComparison[]): Shown {
  if (comparisons.length === 0) {
    return say`No pair of objects was laid under two settings, coils, machines or sides, so there is nothing to compare.`;
  }
  const kinds = [...new Set(comparisons.map((each) => each.by))] as readonly ComparedBy[];
  return show(...kinds.map((by) => {
    const own = comparisons.filter((each) => each.by === by);
    const tests = own.flatMap((each) => "absent" in each.test ? [] : [each.test]);
    const small = tests.filter((test) => test.p < 0.05).length;
    const count = (what: string, n: number) =>
      stated("garden.comparisons", { by, what }, counted(n, { comparisons: own.length }), { form: "value" });
    let largest: HalfGapComparison | null = null, most = 0;
    for (const each of own) {
      if (isPresent(each.differenceCm) && Math.abs(each.differenceCm.value) >= most) {
        [largest, most] = [each, Math.abs(each.differenceCm.value)];
      }
    }
    const head = `Two ${comparedWords[by]}: `;
    if (tests.length === 0) {
      return say`**${head}**of ${
        count("compared", own.length)
      } comparisons none has a block that holds both, so nothing was tested.`;
    }
    const tested = say`**${head}**of ${count("tested", tests.length)} pairs tested ${
      count("p under 0.05", small)
    } gave a p under 0.05.`;
    if (largest === null) return tested;
    const of = { ...largest.of, by, first: largest.levels[0], second: largest.levels[1] };
    return say`**${head}**of ${count("tested", tests.length)} pairs tested ${
      count("p under 0.05", small)
    } gave a p under 0.05. The largest difference in half gap, ${largest.levels[1]} less ${
      largest.levels[0]
    }, is ${
      stated("garden.halfGapDifferenceCm", of, largest.differenceCm, { form: "interval", decimals: 1 })
    }: ${largest.of.target!} + ${largest.of.neighbour!}${
      largest.of.machine ? ` on ${largest.of.machine}` : ""
    }.`;
  }));
}
