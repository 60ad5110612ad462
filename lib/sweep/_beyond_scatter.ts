import { mean, meanDifference, meanDistance, normalMeanDifference } from "../numbers/mod.ts";

/**
 * Gives how much farther apart passes of two kinds are than passes of one kind, in reading units: half the energy distance (Székely and Rizzo 2013,
 * J. Stat. Plan. Inference 143:1249), from pairs of different passes.
 *
 * A kind is one way of sweeping or two that count alike, a way the readings of its passes. Being made of means over pairs, its expectation is the
 * same with few passes and with many, whatever their distribution (a U-statistic: Hoeffding 1948, Ann. Math. Statist. 19:293): 0 where the kinds differ
 * in nothing, so that chance puts it below 0 as well as above, and near the difference of their middles where that is large. A way with one pass
 * takes normal noise of standard deviation `repeatNoise` for its own; null where that is needed and not known.
 */
export function beyondScatter(
  one: readonly (readonly number[])[],
  other: readonly (readonly number[])[],
  repeatNoise: number | undefined,
): number | null {
  if (repeatNoise === undefined && [...one, ...other].some((way) => way.length < 2)) return null;
  const within = (way: readonly number[]): number =>
    way.length < 2 ? normalMeanDifference(repeatNoise!) : meanDifference(way);
  const between = mean(one.flatMap((a) => other.map((b) => meanDistance(a, b))));
  // Two passes of a kind with two ways are of one way as often as not.
  const own = (kind: readonly (readonly number[])[]): number => {
    const same = mean(kind.map(within));
    return kind.length === 1 ? same : (same + meanDistance(kind[0]!, kind[1]!)) / 2;
  };
  return between - (own(one) + own(other)) / 2;
}
