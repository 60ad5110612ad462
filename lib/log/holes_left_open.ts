import type { Outing, Signal } from "./rows.ts";

/** The holes of one outing: how many were dug, and how many were filled by the end. */
export interface OutingHoles {
  readonly outing_id: string;
  /** Holes dug to their end; two signals of one hole count once. */
  readonly dug: number;
  /** Holes begun and stopped: what must not be touched stays marked and open. */
  readonly stopped: number;
  /** Null where nobody wrote it down. */
  readonly filled: number | null;
  /** Holes dug that nobody filled, by this count; 0 where the number filled was not written down. */
  readonly open: number;
}

/**
 * Counts the holes of each outing, dug against filled.
 *
 * `outings` and `signals` are those of one season; outings come back in their own order. A hole counts as open where fewer were filled than
 * dug; a stopped one does not, since it may have to stay as it is.
 *
 * @example
 * ```ts
 * import { holesLeftOpen, type Outing, type Signal } from "overiron";
 * const outing = { outing_id: "1", holes_filled: 1 } as Outing;
 * const dug = ["a", "b"].map((signal_id) => ({ signal_id, outing_id: "1", dug: "yes" }) as Signal);
 * const [holes] = holesLeftOpen([outing], dug);
 * if (holes!.dug !== 2 || holes!.open !== 1) throw new Error("wrong");
 * ```
 */
export function holesLeftOpen(outings: readonly Outing[], signals: readonly Signal[]): OutingHoles[] {
  const holes = new Map<string, { dug: Set<string>; stopped: Set<string> }>();
  for (const { outing_id, signal_id, hole_id, dug } of signals) {
    if (dug === "no") continue;
    let of = holes.get(outing_id);
    if (of === undefined) holes.set(outing_id, of = { dug: new Set(), stopped: new Set() });
    (dug === "yes" ? of.dug : of.stopped).add(hole_id ?? signal_id);
  }
  return outings.map(({ outing_id, holes_filled }) => {
    const of = holes.get(outing_id);
    const dug = of?.dug.size ?? 0, filled = holes_filled ?? null;
    const open = filled === null ? 0 : Math.max(0, dug - filled);
    return { outing_id, dug, stopped: of?.stopped.size ?? 0, filled, open };
  });
}
