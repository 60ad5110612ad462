import { OutputFault } from "./output_fault.ts";

const INPUT_ERRORS = [
  Deno.errors.PermissionDenied,
  Deno.errors.NotADirectory,
  Deno.errors.AlreadyExists,
  Deno.errors.NotFound,
  Deno.errors.FilesystemLoop,
  Deno.errors.NotCapable,
];

export interface DiskFaultOptions {
  /** What could not be done. Default: "write to". */
  readonly verb?: string;
  /** Whether what was there before is as it was. Default true. */
  readonly kept?: boolean;
}

/**
 * What a disk refused, as a fault of the file or folder asked for: of kind `input` where another place would do (no right to
 * write, a disk to be read only, a name too long), of kind `ours` where the disk is full, takes no such file, or fails.
 *
 * @example
 * ```ts
 * import { diskFault } from "./disk_fault.ts";
 * const fault = diskFault(new Error("No space left on device (os error 28)"), "a.csv", { kept: false });
 * if (fault.message !== "Cannot write to a.csv: the disk is full. Make room and run the task again") throw new Error("wrong");
 * ```
 */
export function diskFault(error: unknown, out: string, options: DiskFaultOptions = {}): OutputFault {
  if (error instanceof OutputFault) return error;
  const { verb = "write to", kept = true } = options;
  const message = error instanceof Error ? error.message : String(error);
  const elsewhere = /read-only|os error 30|name too long|os error 36/i.test(message) ||
    INPUT_ERRORS.some((kind) => error instanceof kind);
  const before = kept ? "; what was there before is as it was" : "";
  const told = /no space left|os error 28|quota|os error 122/i.test(message)
    ? `the disk is full${before}. Make room and run the task again`
    : /file too large|os error 27/i.test(message)
    ? `no file may be that large here${before}`
    : message;
  return new OutputFault(`Cannot ${verb} ${out}: ${told}`, elsewhere ? "input" : "ours", { cause: error });
}
