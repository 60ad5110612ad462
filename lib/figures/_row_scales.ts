import type * as Plot from "@observablehq/plot";

/** Scales of a drawing with a named row each: numbers across, the rows in the order given. */
export function rowScales(
  labels: readonly string[],
  across: { readonly domain: readonly [number, number]; readonly label: string },
  rows: "point" | "band" = "point",
): { readonly x: Plot.ScaleOptions; readonly y: Plot.ScaleOptions } {
  return {
    x: { ...across, labelAnchor: "center", labelArrow: "none", nice: true, grid: true },
    y: {
      // Stated, since of two rows Plot would make a continuous scale; ticks want bands.
      type: rows,
      ...(rows === "point" ? { padding: 0.5 } : {}),
      domain: labels.map((_, order) => order),
      tickFormat: (order: number) => labels[order]!,
      label: null,
      tickSize: 0,
    },
  };
}
