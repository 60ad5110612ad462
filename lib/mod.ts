export * from "./numbers/mod.ts";
