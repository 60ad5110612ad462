import { counted, isPresent, type Present } from "../numbers/mod.ts";
import type { DragCurve } from "./drag_curve.ts";

/** How far half gaps of objects of one kind lie apart, beside how well the half gap of one of them is known. */
export interface HalfGapsOfKind {
  readonly machine: string;
  readonly target: string;
  readonly kind: string;
  /** Pairs as laid, of this kind; and how many of them never have a half gap, or cannot be told. */
  readonly pairs: number;
  readonly never: number;
  readonly cannotTell: number;
  /** Smallest and largest half gap in cm among the others; null where none has one. */
  readonly range: { readonly lowest: Present; readonly highest: Present } | null;
  /** The widest 95 % interval of a single half gap, in cm; null likewise. */
  readonly widestIntervalCm: number | null;
}

/**
 * Gives the range of the half gaps between objects of one kind, for each machine, target and kind of neighbour laid in two forms or more.
 *
 * A half gap belongs to one object as it lay: where the range is wider than the widest single interval, no number of trials with one nail tells what the next nail will do.
 * Pairs whose kind was not logged are left out.
 *
 * @example
 * ```ts
 * import { driftOfTrials, fitDragCurves, halfGapsOfKind, simulatedGarden } from "overiron";
 * const garden = simulatedGarden([{ name: "long", qCm2: 80 }, { name: "short", qCm2: 20 }], { seed: 1 });
 * const [nails] = halfGapsOfKind(fitDragCurves(driftOfTrials(garden)));
 * if (nails!.pairs !== 2 || nails!.range === null) throw new Error("wrong");
 * ```
 */
export function halfGapsOfKind(curves: readonly DragCurve[]): readonly HalfGapsOfKind[] {
  const groups = new Map<string, DragCurve[]>();
  for (const curve of curves) {
    const { machine, target, kind } = curve.pair;
    if (kind === null) continue;
    const key = JSON.stringify([machine, target, kind]);
    groups.set(key, [...(groups.get(key) ?? []), curve]);
  }
  return [...groups.values()].filter((group) => group.length > 1).map((group): HalfGapsOfKind => {
    const { machine, target, kind } = group[0]!.pair;
    const known = group.map((curve) => curve.halfGapCm).filter(isPresent).sort((a, b) => a.value - b.value);
    const word = (name: string) =>
      group.filter((curve) => "absent" in curve.halfGapCm && curve.halfGapCm.absent === name).length;
    const n = { pairs: group.length };
    return {
      machine,
      target,
      kind: kind!,
      pairs: group.length,
      never: word("never"),
      cannotTell: group.length - known.length - word("never"),
      range: known.length === 0
        ? null
        : { lowest: counted(known[0]!.value, n), highest: counted(known.at(-1)!.value, n) },
      widestIntervalCm: known.length === 0
        ? null
        : Math.max(...known.map(({ interval }) => interval.high - interval.low)),
    };
  });
}
