import { type AdditiveComparison, type FormComparison } from "../garden/mod.ts";
import { withoutUnit } from "./_garden_labels.ts";
import { say, show, type Shown, type Stated, stated, table } from "./show.ts";

const subject = (
  each: { readonly machine: string; readonly settings: string | null },
): Record<string, string> => ({
  machine: each.machine,
  ...(each.settings === null ? {} : { settings: each.settings }),
});

/**
 * Shows how well each form of curve foretells blocks left out, a row a form and target, with the paired difference from the curve in use; below it whether q can be had as a
 * sum. Recorded as `garden.formError`, `garden.formDifference` and `garden.additiveDifference`.
 *
 * @example
 * ```ts
 * import { gardenFormTable } from "overiron";
 * if (gardenFormTable([], []).recorded.results.length !== 0) throw new Error("nothing compared, no number");
 * ```
 */
export function gardenFormTable(
  forms: readonly FormComparison[],
  additive: readonly AdditiveComparison[],
): Shown {
  const rows = forms.flatMap((each) =>
    each.scores.map((score): (Stated | string)[] => {
      const of = { ...subject(each), target: each.target, form: score.form };
      const options = { form: "interval" as const, decimals: 1 };
      return [
        each.machine,
        each.target,
        score.form,
        withoutUnit(stated("garden.formError", of, score.error, options)),
        score.form === "the curve in use"
          ? "\u2013"
          : withoutUnit(stated("garden.formDifference", of, score.difference, options)),
        score.verdict === "the curve in use" ? "" : score.verdict,
      ];
    })
  );
  const sums = additive.map((each) =>
    say`On ${each.machine}${
      each.settings === null ? "" : ` (${each.settings})`
    }, q as a part of the target plus a part of the neighbour: error on blocks left out ${
      stated("garden.additiveDifference", subject(each), each.difference, { form: "interval", decimals: 1 })
    } against free q: ${each.verdict}. The half gaps shown are those of the free q.`
  );
  return show(
    table({
      caption:
        "Forms of the curve on blocks that they were not fitted to: mean distance from the readings in reading units, and the difference from the curve in use, block by block",
      columns: ["Machine", "Target", "Form", "Error", "Less that of the curve in use", "Verdict"],
      rows,
    }),
    ...sums,
  );
}
