import type { NextTrials } from "../garden/mod.ts";
import { absent, counted } from "../numbers/mod.ts";
import { pairLabel } from "./_garden_labels.ts";
import { say, type Shown, type Stated, stated, table } from "./show.ts";

/**
 * Shows which gaps to lay next, a row a pair, and what they should bring the half gap's interval to; recorded as `garden.widthAfterCm`.
 *
 * @example
 * ```ts
 * import { gardenNextTable } from "overiron";
 * if (gardenNextTable([]).recorded.results.length !== 0) throw new Error("nothing to lay, no number");
 * ```
 */
export function gardenNextTable(next: readonly NextTrials[]): Shown {
  if (next.length === 0) return say`No pair is left whose half gap more trials would narrow.`;
  const rows = next.map((each): (Stated | string)[] => {
    const gaps = [...new Set(each.gapsCm)].sort((a, b) => a - b);
    const lay = gaps.map((gap) => {
      const times = each.gapsCm.filter((other) => other === gap).length;
      return `${gap} cm${times > 1 ? ` (${times} times)` : ""}`;
    }).join(", ");
    const n = { trials: each.gapsCm.length };
    return [
      each.pair.machine,
      pairLabel(each.pair),
      gaps.length > 0 ? lay : each.advice ?? "",
      each.widthNowCm === null ? "no interval yet" : `${each.widthNowCm.toFixed(1)} cm`,
      stated(
        "garden.widthAfterCm",
        each.pair.of,
        each.widthAfterCm === null
          ? absent("cannot tell yet", each.advice ?? "There is no interval to narrow", n)
          : counted(each.widthAfterCm, n),
        { form: "value", decimals: 1 },
      ),
    ];
  });
  return table({
    caption:
      "What to lay next: the gaps that narrow each half gap's interval most, each trial in a block with its own controls",
    columns: ["Machine", "Target + neighbour", "Lay", "Interval now", "Then about"],
    rows,
  });
}
