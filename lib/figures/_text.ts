import type { Absent, Estimate, Present } from "../numbers/mod.ts";

/** Escapes text for HTML content and double-quoted attributes. */
export function escapeHtml(text: string): string {
  return text.replace(/[&<>"']/g, (sign) => `&#${sign.charCodeAt(0)};`);
}

/** How many decimals show a number to a tenth of its interval's width, 0 to 6. */
function decimalsFor(estimate: Present, scale: number): number {
  const width = Math.abs(estimate.interval.high - estimate.interval.low) * scale;
  if (estimate.interval.level === 1 && Number.isInteger(estimate.value * scale)) return 0;
  const size = width > 0 ? width : Math.abs(estimate.value * scale);
  if (size === 0) return 0;
  return Math.min(6, Math.max(0, 1 - Math.floor(Math.log10(size))));
}

/** Writes a number with a fixed count of decimals, a true minus sign, and no "-0". */
export function formatNumber(value: number, decimals: number): string {
  const text = Math.abs(value).toFixed(decimals);
  return value < 0 && Number(text) !== 0 ? `\u2212${text}` : text;
}

/** Names counts in words: "45 trials, 14 blocks". */
export function formatCounts(n: Readonly<Record<string, number>>): string {
  return Object.entries(n).map(([unit, count]) => `${count} ${count === 1 ? unit.replace(/s$/, "") : unit}`)
    .join(", ");
}

/** How much of an estimate is shown: the value alone, with its interval, or with interval and counts. */
export type StatedForm = "value" | "interval" | "full";

/** The words a reader sees for an estimate. Absences show their word; the full form adds the reason. */
export function formatEstimate(
  estimate: Estimate,
  unit: string,
  form: StatedForm,
  decimals?: number,
): string {
  if (!("value" in estimate)) return formatAbsent(estimate, form);
  const share = unit === "share";
  const scale = share ? 100 : 1;
  const places = decimals ?? decimalsFor(estimate, scale);
  const number = (value: number) => formatNumber(value * scale, places);
  const suffix = share ? "\u00a0%" : unit === "count" || unit === "" ? "" : `\u00a0${unit}`;
  const shown = `${number(estimate.value)}${suffix}`;
  const certain = estimate.interval.level === 1;
  if (form === "value" || (form === "interval" && certain)) return shown;
  const parts: string[] = [];
  if (!certain) parts.push(`${number(estimate.interval.low)} to ${number(estimate.interval.high)}${suffix}`);
  if (form === "full" && !(certain && unit === "count")) {
    parts.push(`n\u00a0=\u00a0${formatCounts(estimate.n)}`);
  }
  return parts.length === 0 ? shown : `${shown} (${parts.join("; ")})`;
}

function formatAbsent(estimate: Absent, form: StatedForm): string {
  if (form !== "full") return estimate.absent;
  const counts = formatCounts(estimate.n);
  return `${estimate.absent} (${estimate.reason}${counts ? `; n\u00a0=\u00a0${counts}` : ""})`;
}
