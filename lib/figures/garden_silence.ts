import type { SilentPasses } from "../garden/mod.ts";
import { clusterRobustMean, isPresent, present, proportionInterval } from "../numbers/mod.ts";
import { pairLabel } from "./_garden_labels.ts";
import { say, type Shown, type Stated, stated, table } from "./show.ts";

/**
 * Says how many passes were silent and, for each pair with silent readings, what the half gap becomes when silence counts as the neighbour, and whether that lies outside the interval. Recorded as
 * `garden.silentPasses`, `garden.halfGapCm` and `garden.halfGapSilentAsNeighbourCm`.
 *
 * @example
 * ```ts
 * import { gardenSilence } from "overiron";
 * if (gardenSilence([]).text !== "No pass was silent, so silence cannot move a half gap.") throw new Error("wrong");
 * ```
 */
export function gardenSilence(found: readonly SilentPasses[]): Shown {
  const heard = found.filter((each) => each.silent > 0);
  if (heard.length === 0) return say`No pass was silent, so silence cannot move a half gap.`;
  const share = (each: SilentPasses) => {
    const mean = clusterRobustMean(
      each.points.map((point) => point.hits / point.passes),
      each.points.map((point) => point.block),
    );
    return isPresent(mean)
      ? {
        ...mean,
        interval: {
          ...mean.interval,
          low: Math.max(0, mean.interval.low),
          high: Math.min(1, mean.interval.high),
        },
        n: each.n,
      }
      : present(each.silent / each.passes, proportionInterval(each.silent, each.passes), {
        passes: each.passes,
      });
  };
  const rows = heard.map((each): (Stated | string)[] => [
    each.pair.machine,
    pairLabel(each.pair),
    stated("garden.silentPasses", each.pair.of, share(each), { form: "interval", decimals: 0 }),
    typeof each.curve === "string"
      ? each.curve
      : each.curve.perCm < 0
      ? "fewer with the gap"
      : "more with the gap",
    stated("garden.halfGapCm", each.pair.of, each.leftOut, { form: "interval", decimals: 1 }),
    stated("garden.halfGapSilentAsNeighbourCm", each.pair.of, each.asNeighbour, {
      form: "interval",
      decimals: 1,
    }),
    each.differ === "yes" ? "differ by more than the interval" : each.differ === "no" ? "agree" : each.differ,
  ]);
  return table({
    caption: "Silent passes, and the half gap with silent readings left out and taken as the neighbour's",
    columns: [
      "Machine",
      "Target + neighbour",
      "Silent passes",
      "Against the gap",
      "Half gap, left out",
      "Half gap, as neighbour",
      "The two",
    ],
    rows,
  });
}
