export * from "./numbers/mod.ts";
export * from "./figures/mod.ts";
