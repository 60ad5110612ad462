import type { HalfGapComparison } from "../garden/mod.ts";
import { counted } from "../numbers/mod.ts";
import { withoutUnit } from "./_garden_labels.ts";
import { say, show, type Shown, type Stated, stated, table } from "./show.ts";

/** What is compared, in the plural. */
export const comparedWords: Readonly<Record<HalfGapComparison["by"], string>> = {
  machine: "machines",
  settings: "settings",
  coil: "coils",
  side: "sides",
  order: "orders in which the coil meets the two",
};

/**
 * Shows comparisons of half gaps, a row a pair and two levels: difference with its interval, the permutation test within blocks, and the smallest p that it could have given. Recorded as
 * `garden.halfGapDifferenceCm`, `garden.comparisonP` and `garden.smallestP`.
 *
 * @example
 * ```ts
 * import { gardenComparisonTable } from "overiron";
 * if (!gardenComparisonTable([]).text.startsWith("No pair")) throw new Error("wrong");
 * ```
 */
export function gardenComparisonTable(comparisons: readonly HalfGapComparison[]): Shown {
  if (comparisons.length === 0) {
    return say`No pair of objects was laid under two settings, coils, machines or sides, so there is nothing to compare.`;
  }
  const rows = comparisons.map((each): (Stated | string)[] => {
    const of = { ...each.of, by: each.by, first: each.levels[0], second: each.levels[1] };
    const { test } = each;
    const { machine = "both machines", target, neighbour, ...rest } = each.of;
    return [
      machine,
      [`${target} + ${neighbour}`, ...Object.values(rest)].join(", "),
      `${each.levels[1]} less ${each.levels[0]}`,
      withoutUnit(
        stated("garden.halfGapDifferenceCm", of, each.differenceCm, { form: "interval", decimals: 1 }),
      ),
      "absent" in test
        ? test.absent
        : stated("garden.comparisonP", of, counted(test.p, { assignments: test.assignments }), {
          form: "value",
          decimals: test.p < 0.001 ? 5 : 3,
        }),
      "absent" in test
        ? "\u2013"
        : stated("garden.smallestP", of, counted(test.smallestP, { assignments: test.assignments }), {
          form: "value",
          decimals: test.smallestP < 0.001 ? 5 : 3,
        }),
      "absent" in test ? "0" : String(test.blocks),
    ];
  });
  const kinds = [...new Set(comparisons.map((each) => each.by))];
  const tested = comparisons.flatMap((each) => "absent" in each.test ? [] : [each.test.p]);
  return show(
    table({
      caption: `Half gaps under two ${
        kinds.map((by) => comparedWords[by]).join(", two ")
      }: difference with its interval, p from labels dealt anew within blocks`,
      columns: [
        "Machine",
        "Target + neighbour",
        "Compared",
        "Difference in half gap, cm",
        "p",
        "Smallest possible p",
        "Blocks with both (order: trials)",
      ],
      rows,
    }),
    say`${
      String(tested.length)
    } tests stand in this table; by chance alone one in twenty gives a p under 0.05.`,
  );
}
