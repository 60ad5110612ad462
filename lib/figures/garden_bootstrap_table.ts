import type { BootstrappedHalfGap, DragCurve } from "../garden/mod.ts";
import { pairLabel, resultOf } from "./_garden_labels.ts";
import { say, type Shown, type Stated, stated, table } from "./show.ts";

/**
 * Shows the half gaps with their BCa intervals over blocks beside those of the curves, for pairs laid in 30 blocks or more; recorded as `garden.halfGapBootstrapCm`.
 *
 * @example
 * ```ts
 * import { gardenBootstrapTable } from "overiron";
 * if (!gardenBootstrapTable([], []).text.startsWith("No pair")) throw new Error("wrong");
 * ```
 */
export function gardenBootstrapTable(
  found: readonly BootstrappedHalfGap[],
  curves: readonly DragCurve[],
): Shown {
  const many = found.filter((each) => !("absent" in each.qCm2 && each.qCm2.absent === "too few blocks"));
  if (many.length === 0) {
    return say`No pair was laid in thirty blocks, so no interval from drawing blocks anew stands beside those above: with fewer blocks such intervals hold the truth too seldom.`;
  }
  const rows = many.map((each): (Stated | string)[] => {
    const curve = curves.find((other) => other.pair.key === each.pair.key)!;
    const options = { form: "interval" as const, decimals: 1 };
    return [
      each.pair.machine,
      pairLabel(each.pair),
      stated("garden.halfGapCm", resultOf(curve), curve.halfGapCm, options),
      stated("garden.halfGapBootstrapCm", resultOf(curve), each.halfGapCm, options),
    ];
  });
  return table({
    caption: "Half gaps with the interval of the curve, and with that from drawing blocks anew (BCa)",
    columns: ["Machine", "Target + neighbour", "Curve", "Blocks drawn anew"],
    rows,
  });
}
