export * from "./closed_form_drag.ts";
export * from "./kernel_half_width.ts";
