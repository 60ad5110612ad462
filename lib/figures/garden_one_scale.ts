import type { DragCurve, GardenDrift, KnownLoudness } from "../garden/mod.ts";
import { gardenCollapse } from "./garden_collapse.ts";
import { gardenKnownCollapse } from "./garden_known_collapse.ts";
import { figure, show, type Shown } from "./show.ts";

export interface GardenOneScaleOptions {
  /** By trial_id, as `knownLoudness` gives. */
  readonly loudness: ReadonlyMap<string, KnownLoudness>;
  /** Id of the first figure shown; the second's has "-fitted" behind it. */
  readonly id: string;
}

/**
 * Shows the drags of all pairs of one machine on one scale of relative loudness: pairs whose sizes are logged by their physics (`gardenKnownCollapse`), the others as fitted (`gardenCollapse`), each said in
 * its caption. Throws RangeError unless the curves are of one machine.
 *
 * @example
 * ```ts
 * import { driftOfTrials, fitDragCurves, gardenOneScale, simulatedGarden } from "overiron";
 * const drift = driftOfTrials(simulatedGarden([{ name: "nail", qCm2: 40 }], { seed: 1, blocks: 6 }));
 * const shown = gardenOneScale(drift, fitDragCurves(drift), { loudness: new Map(), id: "one-scale" });
 * if (!shown.text.includes("as fitted")) throw new Error("no size is logged");
 * ```
 */
export function gardenOneScale(
  drift: GardenDrift,
  curves: readonly DragCurve[],
  options: GardenOneScaleOptions,
): Shown {
  const { loudness, id } = options;
  const isKnown = (curve: DragCurve): boolean =>
    drift.rows.some((row) => row.pair === curve.pair.key && row.drag !== null && loudness.has(row.trial_id));
  const known = curves.filter(isKnown), fitted = curves.filter((curve) => !isKnown(curve) && curve.fit);
  const machine = curves[0]?.pair.machine ?? "";
  return show(
    ...(known.length > 0
      ? [figure({
        id,
        svg: gardenKnownCollapse(drift, known, { loudness }),
        caption:
          `Drag on ${machine} against how loud the neighbour is beside the target by the textbook physics of the sizes logged, without any fit. ` +
          "The line is two signals added. Pairs that leave it are louder or quieter than their sizes say, as a tilted, rusted or bent nail is.",
      })]
      : []),
    ...(fitted.length > 0
      ? [figure({
        id: known.length > 0 ? `${id}-fitted` : id,
        svg: gardenCollapse(drift, fitted),
        caption: `Drag on ${machine} of ${
          known.length > 0 ? "the pairs whose loudness does not follow from the log" : "all pairs"
        }, against how loud the neighbour is beside the target as fitted. Pairs that do not follow the one curve do not share the form.`,
      })]
      : []),
  );
}
