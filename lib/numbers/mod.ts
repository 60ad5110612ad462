export * from "./chance.ts";
export * from "./estimate.ts";
