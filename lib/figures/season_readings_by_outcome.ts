import * as Plot from "@observablehq/plot";
import type { Machine, Season, Signal, ToneScheme } from "../log/mod.ts";
import { sweepCentre } from "../sweep/mod.ts";
import { bandShade, breakLine } from "./_band_ground.ts";
import { renderPlot, seriesColors } from "./_svg.ts";

/** Options of `seasonReadingsByOutcome`. */
export interface SeasonReadingsByOutcomeOptions {
  /** Short name, a-z, 0-9 and hyphens. */
  readonly name: string;
  /** Name of the machine: its scale is the axis and its tone bands the ground. */
  readonly machine: string;
  /** Discrimination setting. Default "none". */
  readonly discrimination?: Signal["discrimination"];
  /** Bins over the whole scale. Default 40, fewer where the scale has fewer steps. */
  readonly bins?: number;
}

const classes = [
  { name: "ferrous", label: "iron", color: seriesColors[6]! },
  { name: "masked-good", label: "masked goods", color: seriesColors[1]! },
  { name: "non-ferrous", label: "other non-ferrous", color: seriesColors[0]! },
] as const;

interface Bin {
  readonly label: string;
  readonly color: string;
  readonly from: number;
  readonly to: number;
  readonly count: number;
}

/**
 * Draws how the centres of the dug signals of one machine lie on its scale, a panel an outcome, with the tone bands as the
 * ground and the breaks as lines.
 *
 * Signals without an outcome or without a number are not drawn; their number is in no label. Throws RangeError for a
 * machine that is not in the season, bins below 2, or when no dug signal has an outcome and a number.
 *
 * @example
 * ```ts
 * import { seasonReadingsByOutcome } from "overiron";
 * try {
 *   seasonReadingsByOutcome({ machines: [], settings: [], signals: [] }, { name: "readings", machine: "Machine A" });
 *   throw new Error("drawn");
 * } catch (error) {
 *   if (!(error instanceof RangeError)) throw error;
 * }
 * ```
 */
export function seasonReadingsByOutcome(season: Season, options: SeasonReadingsByOutcomeOptions): string {
  const { name, discrimination = "none" } = options;
  const machine = season.machines.find((one) => one.machine === options.machine);
  if (!machine) {
    throw new RangeError(
      `Cannot draw "${name}": no machine ${JSON.stringify(options.machine)} in the season`,
    );
  }
  const { low, high, step } = machine.scale;
  const { bins = Math.max(2, Math.min(40, Math.floor((high - low) / step))) } = options;
  if (!(Number.isSafeInteger(bins) && bins >= 2)) {
    throw new RangeError(`Cannot draw "${name}": need 2 bins or more, got ${bins}`);
  }
  const centres = centresByClass(season, machine, discrimination);
  const shown = classes.filter((one) => centres.get(one.name)!.length > 0);
  if (shown.length === 0) {
    throw new RangeError(`Cannot draw "${name}": no dug signal has an outcome and a number`);
  }
  const panel = (one: typeof classes[number]) => `${one.label} (${centres.get(one.name)!.length} signals)`;
  const width = (high - low) / bins;
  const counts = shown.flatMap((one): Bin[] => {
    const own = Array.from({ length: bins }, () => 0);
    for (const centre of centres.get(one.name)!) {
      own[Math.min(bins - 1, Math.max(0, Math.floor((centre - low) / width)))]!++;
    }
    return own.map((count, i) => ({
      label: panel(one),
      color: one.color,
      from: low + i * width,
      to: low + (i + 1) * width,
      count,
    })).filter(({ count }) => count > 0);
  });
  const ground = bandsOnScale(machine.tones, machine);
  const most = Math.max(...counts.map(({ count }) => count));
  const above = shown.map((one) => {
    const own = centres.get(one.name)!;
    return `${own.filter((centre) => centre >= machine.iron_break).length} of ${own.length} ${one.label}`;
  });
  const firstPanel = panel(shown[0]!);
  return renderPlot({
    height: 92 + 130 * shown.length,
    marginLeft: 48,
    marginTop: 34,
    marginBottom: 50,
    marginRight: 20,
    fy: { domain: shown.map(panel), label: null, axis: null, padding: 0.2 },
    x: {
      domain: [low, high],
      label: "centre of the readings (reading units) →",
      labelAnchor: "center",
      labelOffset: 44,
      ticks: 7,
    },
    y: {
      domain: [0, Math.max(2, most)],
      label: "signals",
      labelAnchor: "top",
      ticks: Math.min(4, most),
      grid: true,
    },
    marks: [
      Plot.rectX(ground, { x1: "from", x2: "to", ...bandShade }),
      Plot.ruleX(ground.slice(1), { x: "from", ...breakLine }),
      Plot.rectY(counts, {
        fy: "label",
        x1: "from",
        x2: "to",
        y: "count",
        fill: (bin: Bin) => bin.color,
        insetLeft: 0.5,
        insetRight: 0.5,
      }),
      Plot.ruleY([0], { stroke: "currentColor" }),
      Plot.text(ground.filter(({ from, to }) => (to - from) / (high - low) >= 0.09), {
        fy: () => firstPanel,
        x: (band: { from: number; to: number }) => (band.from + band.to) / 2,
        text: "name",
        frameAnchor: "top",
        dy: -14,
        fontStyle: "italic",
        fill: "currentColor",
      }),
      Plot.text(shown.map(panel), {
        fy: (label: string) => label,
        text: (label: string) => label,
        frameAnchor: "top-right",
        dx: -6,
        dy: 8,
        fontWeight: 600,
        fill: "currentColor",
      }),
    ],
  }, {
    name,
    alt:
      `Histograms of the centres of dug signals on ${machine.machine}, with ${ground.length} tone bands. On or above the iron ` +
      `break of ${machine.iron_break}: ${above.join(", ")}.`,
  });
}

function centresByClass(season: Season, machine: Machine, discrimination: string): Map<string, number[]> {
  const centres = new Map<string, number[]>(classes.map((one) => [one.name, []]));
  for (const signal of season.signals) {
    if (signal.machine !== machine.machine || signal.discrimination !== discrimination) continue;
    const centre = sweepCentre(signal, { machine });
    if (signal.outcome.class !== null && "value" in centre) {
      centres.get(signal.outcome.class)!.push(centre.value);
    }
  }
  return centres;
}

function bandsOnScale(
  scheme: ToneScheme,
  machine: Machine,
): { name: string; from: number; to: number; i: number }[] {
  const breaks = scheme.breaks.length === scheme.bands.length - 1 ? scheme.breaks : [machine.iron_break];
  const edges = [machine.scale.low, ...breaks, machine.scale.high];
  return scheme.bands.map(({ name }, i) => ({ name, from: edges[i]!, to: edges[i + 1]!, i }));
}
