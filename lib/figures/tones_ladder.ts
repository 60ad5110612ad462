import * as Plot from "@observablehq/plot";
import type { TargetReadings } from "../tones/mod.ts";
import { bandShade, breakLine } from "./_band_ground.ts";
import { renderPlot, seriesColors } from "./_svg.ts";

const byCodeUnit = (a: string, b: string): number => a < b ? -1 : a > b ? 1 : 0;

/**
 * Draws the ladder of tone bands and where each target stands on it: one panel a target, a dot a trial, clean at the right
 * and the narrower the gap to a neighbour the further left.
 *
 * Dots are spread sideways in the order of their readings so that none hides another. Throws RangeError without a reading.
 *
 * @example
 * ```ts
 * import { targetReadings, tonesLadder } from "overiron";
 * const drawn = targetReadings({ machines: [], settings: [], trials: [] }).map((one) => tonesLadder(one, { name: "ladder" }));
 * if (drawn.length !== 0) throw new Error("nothing to draw");
 * ```
 */
export function tonesLadder(
  arm: TargetReadings,
  options: { /** Short name, a-z, 0-9 and hyphens. */ readonly name: string },
): string {
  const { name } = options;
  const { machine, laid, readings, of } = arm;
  if (readings.length === 0) throw new RangeError(`Cannot draw "${name}": there is no reading`);
  const { low, high } = machine.scale;
  const scheme = machine.tones;
  const breaks = scheme.breaks.length === scheme.bands.length - 1 ? scheme.breaks : [machine.iron_break];
  const edges = [low, ...breaks, high];
  const bands = scheme.bands.map((band, i) => ({ name: band.name, from: edges[i]!, to: edges[i + 1]!, i }));
  const targets = [...new Set(readings.map(({ target }) => target))].sort(byCodeUnit);
  const dots = targets.flatMap((target) =>
    laid.flatMap((way, column) => {
      const own = readings.filter((one) => one.target === target && one.laid === way).map(({ reading }) =>
        reading
      ).sort((a, b) => a - b);
      return own.map((reading, i) => ({
        target,
        reading,
        clean: way === "clean",
        // Seven lanes across the middle of the column.
        at: column + ((i * 3) % 7 - 3) * 0.1,
      }));
    })
  );
  const inBand = (values: readonly number[]) =>
    bands.map((band, i) => ({
      name: band.name,
      n: values.filter((value) =>
        value >= (i === 0 ? -Infinity : band.from) && (i === bands.length - 1 || value < band.to)
      ).length,
    })).filter(({ n }) => n > 0).map(({ name, n }) => `${n} ${name}`).join(", ");
  const words = targets.map((target) => {
    const own = readings.filter((one) => one.target === target);
    const of = (clean: boolean) =>
      inBand(own.filter((one) => (one.laid === "clean") === clean).map(({ reading }) => reading));
    return `${target}: clean ${of(true) || "none"}; beside a neighbour ${of(false) || "none"}`;
  });
  const short = laid.map((way) =>
    way.replace(" to under ", "–").replace("under ", "< ").replace(" cm or more", "+ cm").replace(
      "gap not logged",
      "?",
    )
  );
  const count = (target: string) => readings.filter((one) => one.target === target).length;
  return renderPlot({
    height: 40 + 250 * targets.length,
    marginLeft: 52,
    marginRight: 76,
    marginTop: 50,
    marginBottom: 56,
    fy: { domain: targets, label: null, axis: null, padding: 0.14 },
    x: {
      domain: [-0.5, laid.length - 0.5],
      ticks: laid.map((_, i) => i),
      tickFormat: (i: number) => short[i] ?? "",
      label: "gap between nearest edges, then clean",
      labelAnchor: "center",
      labelArrow: "none",
      labelOffset: 48,
      tickSize: 0,
    },
    y: { domain: [low, high], label: "reading (reading units)", labelAnchor: "top", ticks: 5 },
    marks: [
      Plot.rectY(bands, { y1: "from", y2: "to", ...bandShade }),
      Plot.ruleY(breaks, breakLine),
      Plot.text(bands.filter(({ from, to }) => (to - from) / (high - low) > 0.07), {
        y: (band: { from: number; to: number }) => (band.from + band.to) / 2,
        text: "name",
        frameAnchor: "right",
        textAnchor: "start",
        dx: 6,
        fontStyle: "italic",
        fill: "currentColor",
      }),
      Plot.dot(dots, {
        fy: "target",
        x: "at",
        y: "reading",
        r: 4,
        fill: (dot: { clean: boolean }) => dot.clean ? seriesColors[0]! : seriesColors[1]!,
        fillOpacity: 0.8,
      }),
      Plot.text(targets, {
        fy: (target: string) => target,
        text: (target: string) => `${target} (${count(target)} trials)`,
        frameAnchor: "top-left",
        dy: -18,
        fontWeight: 600,
        fill: "currentColor",
      }),
    ],
  }, {
    name,
    alt: `Readings of ${readings.length} trials on ${
      of.machine ?? "the machine"
    } over its ${bands.length} tone bands. ${words.join(". ")}.`,
    legend: [{ label: "clean", color: seriesColors[0]! }, {
      label: "beside a neighbour",
      color: seriesColors[1]!,
    }],
  });
}
