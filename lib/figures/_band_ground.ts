/** The ground of a drawing over tone bands: every other band darker, and a dashed line at each break. */
export const bandShade = {
  fill: "currentColor",
  fillOpacity: (band: { readonly i: number }): number => band.i % 2 === 0 ? 0.1 : 0.03,
} as const;

export const breakLine = { stroke: "currentColor", strokeOpacity: 0.6, strokeDasharray: "4 3" } as const;
