import * as Plot from "@observablehq/plot";

/** Two lines above each small plot: what it is of, in bold, and what it says. */
export interface FacetHead {
  readonly fx: number;
  readonly fy: number;
  readonly head: string;
  readonly sub: string;
}

export function facetHeads(heads: readonly FacetHead[]): readonly Plot.Markish[] {
  const line = { fx: "fx", fy: "fy", frameAnchor: "top-left", fontSize: 14, lineAnchor: "top" } as const;
  return [
    Plot.text(heads, { ...line, text: "head", dy: -38, fontWeight: "bold" }),
    Plot.text(heads, { ...line, text: "sub", dy: -20 }),
  ];
}
