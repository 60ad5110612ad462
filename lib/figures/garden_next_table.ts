import type { NextTrials } from "../garden/mod.ts";
import { absent, counted } from "../numbers/mod.ts";
import { pairLabel } from "./_garden_labels.ts";
import { say, show, type Shown, type Stated, stated, table } from "./show.ts";

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
  return show(
    ...mostGained(next),
    table({
      caption:
        "What to lay next: the gaps that narrow each half gap's interval most, each trial in a block with its own controls",
      columns: ["Machine", "Target + neighbour", "Lay", "Interval now", "Then about"],
      rows,
    }),
  );
}

/** In a sentence: the pair whose interval is widest, and how many pairs have no half gap yet. */
function mostGained(next: readonly NextTrials[]): readonly Shown[] {
  const wide = [...next].sort((a, b) => (b.widthNowCm ?? -1) - (a.widthNowCm ?? -1))[0]!;
  const open = next.filter((each) => each.widthNowCm === null).length;
  const trials = wide.gapsCm.length, { of } = wide.pair;
  const width = { form: "value", decimals: 1 } as const;
  return [
    ...(wide.widthNowCm === null || wide.widthAfterCm === null ? [] : [
      say`The widest interval of a half gap is that of ${pairLabel(wide.pair)} on ${wide.pair.machine}: ${
        stated("garden.nextTrials", of, counted(trials, { pairs: 1 }))
      } trials more at the gaps below should bring it from ${
        stated("garden.widthNowCm", of, counted(wide.widthNowCm, { pairs: 1 }), width)
      } to about ${stated("garden.widthAfterCm", of, counted(wide.widthAfterCm, { trials }), width)}.`,
    ]),
    ...(open === 0 ? [] : [
      say`For ${stated("garden.nextWithoutHalfGap", {}, counted(open, { pairs: next.length }))} of the ${
        stated("garden.nextPairs", {}, counted(next.length, { pairs: next.length }))
      } pairs below there is no half gap yet, and the table says what would tell.`,
    ]),
  ];
}
