export * from "./result_ids.ts";
export * from "./show.ts";
