import type { DragCurve, LaidPair } from "../garden/mod.ts";
import type { Stated } from "./show.ts";

const shortParts: Readonly<Record<string, (value: string) => string>> = {
  neighbour_count: (value) => value === "1" || value === "not logged" ? "" : `\u00d7 ${value}`,
  side: (value) => value === "beside" ? "" : value === "both" ? "both sides" : value,
  settings: (value) => value,
  discrimination: (value) => value === "none" ? "" : value,
  medium: (value) => value,
  neighbour_heading_deg: (value) => `heading ${value}\u00b0`,
  neighbour_tilt_deg: (value) => `tilt ${value}\u00b0`,
  target_tilt: (value) => `target tilt ${value}\u00b0`,
  coil_height_cm: (value) => `coil ${value} cm up`,
  height_difference_cm: (value) => `${value} cm higher`,
  depth: (value) => value === "logged" ? "" : "depth not logged",
};

/** The neighbour as laid, in a few words: its name and what tells it from other layings in the garden. */
export function neighbourLabel(pair: LaidPair): string {
  const extras = Object.entries(pair.of)
    .filter(([part]) => part !== "machine" && part !== "target" && part !== "neighbour")
    .map(([part, value]) => (shortParts[part] ?? ((word: string) => `${part} ${word}`))(value))
    .filter((word) => word !== "");
  return [pair.neighbour, ...extras].join(", ").replace(", \u00d7", " \u00d7");
}

export const pairLabel = (pair: LaidPair): string => `${pair.target} + ${neighbourLabel(pair)}`;

/** A short name for ids: lower case letters, digits and hyphens. */
export const slug = (text: string): string =>
  text.toLowerCase().replace(/[^a-z0-9]+/g, "-").replace(/^-|-$/g, "");

const pull = (curve: DragCurve): number =>
  curve.fit !== null
    ? curve.fit.qCm2
    : Math.max(0, ...curve.gaps.map((each) => each.medianDrag)) * 1e-6 - 1e6;

const byText = (a: string, b: string): number => a < b ? -1 : a > b ? 1 : 0;

/** By machine, then target, then the neighbour that pulls furthest first. */
export function inReadingOrder(curves: readonly DragCurve[]): readonly DragCurve[] {
  return [...curves].sort((a, b) =>
    byText(a.pair.machine, b.pair.machine) || byText(a.pair.target, b.pair.target) || pull(b) - pull(a) ||
    byText(a.pair.key, b.pair.key)
  );
}

/** The half gap in a facet's corner, in words. */
export function halfGapWords(curve: DragCurve): string {
  const { halfGapCm } = curve;
  return "value" in halfGapCm ? `half gap ${halfGapCm.value.toFixed(1)} cm` : `half gap: ${halfGapCm.absent}`;
}

/** Facets in rows of two: where each curve stands. */
export const facetColumns = 2;
export const facetOf = (index: number) => ({
  fx: index % facetColumns,
  fy: Math.floor(index / facetColumns),
});

/** Gaps in steps for a smooth line, from 0 to the widest laid. */
export function gapSteps(widest: number, steps = 60): readonly number[] {
  return Array.from({ length: steps + 1 }, (_, k) => widest * k / steps);
}

export const widestGap = (curves: readonly DragCurve[]): number =>
  Math.max(1, ...curves.flatMap((curve) => curve.gaps.map((each) => each.gap_cm)));

/** Refuses what cannot be drawn: no curve at all, or curves of several machines, whose reading units differ. */
export function checkOneMachine(name: string, curves: readonly DragCurve[]): string {
  const machines = [...new Set(curves.map((curve) => curve.pair.machine))];
  if (machines.length !== 1) {
    throw new RangeError(
      `Cannot draw ${name}: need the pairs of one machine, got ${machines.length} machines`,
    );
  }
  return machines[0]!;
}

/** What a number of a curve is about: the pair as laid, and the depth where several were laid. */
export function resultOf(curve: DragCurve): Readonly<Record<string, string>> {
  return curve.depthVaries && curve.depth_cm !== null
    ? { ...curve.pair.of, depth_cm: String(curve.depth_cm) }
    : curve.pair.of;
}

/** The same number without its unit in every cell: the table's caption says it. */
export function withoutUnit(item: Stated): Stated {
  return { ...item, words: item.words.replaceAll(`\u00a0${item.result.unit}`, "") };
}

/** Drifts are shown in whole reading units where the display has whole steps. */
export const wholeUnits = (pair: LaidPair): { readonly decimals?: number } =>
  pair.step !== null && pair.step >= 1 ? { decimals: 0 } : {};
