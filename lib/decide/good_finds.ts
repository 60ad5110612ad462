import type { Signal } from "../log/mod.ts";

/**
 * Counts the good finds of each signal: finds its finder marked to keep, hazards none; a stated masked good whose find was
 * not written down counts one. A find met under two signals of one hole counts once, at the first.
 *
 * @example
 * ```ts
 * import { goodFindsOf } from "overiron";
 * if (goodFindsOf([]).length !== 0) throw new Error("nothing gives nothing");
 * ```
 */
export function goodFindsOf(signals: readonly Pick<Signal, "finds" | "outcome">[]): number[] {
  const seen = new Set<string>();
  return signals.map(({ finds, outcome }) => {
    if (finds.length === 0) return outcome.class === "masked-good" ? 1 : 0;
    let good = 0;
    for (const { find_id, keep } of finds) {
      if (seen.has(find_id)) continue;
      seen.add(find_id);
      if (keep === "yes") good++;
    }
    return good;
  });
}
