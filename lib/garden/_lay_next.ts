import type { GapDrags } from "./drag_curve.ts";

const half = (value: number): number => Math.max(0, Math.round(value * 2) / 2);

const list = (gaps: readonly number[]): string =>
  gaps.length === 1 ? `${gaps[0]} cm` : `${gaps.slice(0, -1).join(", ")} and ${gaps[gaps.length - 1]} cm`;

const distinct = (gaps: readonly number[]): number[] => [...new Set(gaps)].sort((a, b) => a - b);

/** Gaps wider than any laid: one and a half times and twice the widest. */
export function widerGaps(gaps: readonly GapDrags[]): string {
  const widest = Math.max(1, ...gaps.map((each) => each.gap_cm));
  return `Lay wider gaps next, such as ${list(distinct([half(widest * 1.5), half(widest * 2)]))}`;
}

/** Touching, and half of the closest gap laid. */
export function closerGaps(gaps: readonly GapDrags[]): string {
  const closest = Math.min(...gaps.map((each) => each.gap_cm));
  return closest <= 0.5
    ? "Lay the two touching in more blocks next"
    : `Lay closer gaps next, such as ${list(distinct([0, half(closest / 2)]))}`;
}

/** Enough gaps to make four: between those laid, and beyond them on the side where a half is missing. */
export function moreGaps(gaps: readonly GapDrags[]): string {
  const laid = gaps.map((each) => each.gap_cm);
  if (laid.length === 0) return "Lay four gaps next, such as 0, 2, 5 and 10 cm";
  const wanted = 4 - laid.length;
  const widest = Math.max(...laid);
  const candidates = distinct(
    [0, widest / 4, widest / 2, widest * 1.5, widest * 2, widest + 2, widest + 4, widest + 6].map(half),
  )
    .filter((gap) => laid.every((other) => Math.abs(other - gap) >= 0.5));
  const above = gaps.every((each) => each.medianDrag > 0.5);
  const chosen = above ? candidates.filter((gap) => gap > widest) : candidates;
  return `Lay ${wanted} more ${wanted === 1 ? "gap" : "gaps"} next, such as ${
    list(chosen.slice(0, Math.max(2, wanted)))
  }`;
}

/** More blocks of what was laid. */
export function moreBlocks(blocks: number, wanted: number): string {
  const more = Math.max(1, wanted - blocks);
  return `Lay the same gaps again in ${more} more ${
    more === 1 ? "block" : "blocks"
  }, each with its own controls`;
}
