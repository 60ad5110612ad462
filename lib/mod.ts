export * from "./numbers/mod.ts";
export * from "./log/mod.ts";
export * from "./sweep/mod.ts";
export * from "./virtual/mod.ts";
export * from "./garden/mod.ts";
export * from "./tones/mod.ts";
export * from "./model/mod.ts";
export * from "./figures/mod.ts";
