import { discriminationWords } from "./discrimination_words.ts";

/**
 * Puts machine and discrimination of a result into words. Where nothing is silenced the machine's name stands alone.
 *
 * Throws RangeError for a discrimination that the log does not know.
 *
 * @example
 * ```ts
 * import { tonesArmWords } from "overiron";
 * if (tonesArmWords({ machine: "Machine A", discrimination: "none" }) !== "Machine A") throw new Error("wrong");
 * ```
 */
export function tonesArmWords(of: Readonly<Record<string, string>>): string {
  const { machine = "", discrimination = "none" } = of;
  return discrimination === "none" ? machine : `${machine}, ${discriminationWords(discrimination)}`;
}
