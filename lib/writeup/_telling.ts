import { OutputFault } from "./output_fault.ts";

const INPUT_ERRORS = [
  Deno.errors.PermissionDenied,
  Deno.errors.NotADirectory,
  Deno.errors.AlreadyExists,
  Deno.errors.NotFound,
  Deno.errors.FilesystemLoop,
  Deno.errors.NotCapable,
];

/** Runs a piece of work on the disk; what goes wrong is told as a fault of the folder asked for. */
export async function telling<T>(out: string, what: string, work: () => Promise<T>): Promise<T> {
  try {
    return await work();
  } catch (error) {
    if (error instanceof OutputFault) throw error;
    const message = error instanceof Error ? error.message : String(error);
    const readOnly = /read-only|os error 30|name too long|os error 36/i.test(message);
    const input = readOnly || INPUT_ERRORS.some((kind) => error instanceof kind);
    const say = what === "finish" ? "finish" : "write to";
    const told = /no space left|os error 28|quota|os error 122/i.test(message)
      ? "the disk is full; what was there before is as it was. Make room and run the task again"
      : /file too large|os error 27/i.test(message)
      ? "no file may be that large here; what was there before is as it was"
      : message;
    throw new OutputFault(`Cannot ${say} ${out}: ${told}`, input ? "input" : "ours", { cause: error });
  }
}
