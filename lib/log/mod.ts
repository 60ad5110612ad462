export * from "./file_fault.ts";
export * from "./machines.ts";
export * from "./nearest_word.ts";
export * from "./rows.ts";
export * from "./words.ts";
export * from "./to_frame.ts";
