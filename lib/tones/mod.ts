export * from "./band_of.ts";
export * from "./check_tone_scheme.ts";
export * from "./example_tone_schemes.ts";
export * from "./pass_bands.ts";
export * from "./pitch_of.ts";
