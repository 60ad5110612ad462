export * from "./median_variance.ts";
export * from "./noise_spread.ts";
export * from "./season_at_a_glance.ts";
export * from "./sweep_centre.ts";
export * from "./sweep_features.ts";
export * from "./sweep_value.ts";
