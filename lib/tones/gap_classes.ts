/** One class of gaps: its name, and the limits in centimetres (`lowCm` belongs to it, `highCm` does not). */
export interface GapClass {
  readonly name: string;
  readonly lowCm: number;
  readonly highCm: number;
}

/**
 * Makes gap classes from the gaps at which one class ends and the next begins, in centimetres; a gap on such an edge
 * belongs to the wider class.
 *
 * Throws RangeError unless the edges are positive and ascend.
 *
 * @example
 * ```ts
 * import { gapClasses } from "overiron";
 * const names = gapClasses([2, 4]).map(({ name }) => name).join("; ");
 * if (names !== "under 2 cm; 2 to under 4 cm; 4 cm or more") throw new Error(names);
 * ```
 */
export function gapClasses(edgesCm: readonly number[]): GapClass[] {
  edgesCm.forEach((edge, i) => {
    if (!(Number.isFinite(edge) && edge > (edgesCm[i - 1] ?? 0))) {
      throw new RangeError(
        `Cannot make gap classes: edges must be above 0 and ascend, got ${edgesCm.join(", ")}`,
      );
    }
  });
  return Array.from({ length: edgesCm.length + 1 }, (_, i) => {
    const lowCm = edgesCm[i - 1] ?? 0, highCm = edgesCm[i] ?? Infinity;
    const name = edgesCm.length === 0
      ? "any gap"
      : i === 0
      ? `under ${highCm} cm`
      : highCm === Infinity
      ? `${lowCm} cm or more`
      : `${lowCm} to under ${highCm} cm`;
    return { name, lowCm, highCm };
  });
}

/** Where trials without a logged gap go. */
export const gapNotLogged = "gap not logged";

/**
 * Gives the name of the class that a gap belongs to, or "gap not logged" for null.
 *
 * @example
 * ```ts
 * import { gapClassOf, gapClasses } from "overiron";
 * if (gapClassOf(2, gapClasses([2, 4])) !== "2 to under 4 cm") throw new Error("an edge belongs to the wider class");
 * ```
 */
export function gapClassOf(gapCm: number | null, classes: readonly GapClass[]): string {
  if (gapCm === null) return gapNotLogged;
  return classes.find(({ lowCm, highCm }) => gapCm >= lowCm && gapCm < highCm)?.name ?? gapNotLogged;
}
