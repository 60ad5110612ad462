/**
 * Puts machine and discrimination of a result into words; "none" is left out.
 *
 * @example
 * ```ts
 * import { tonesArmWords } from "overiron";
 * if (tonesArmWords({ machine: "Machine A", discrimination: "none" }) !== "Machine A") throw new Error("wrong");
 * ```
 */
export function tonesArmWords(of: Readonly<Record<string, string>>): string {
  const { machine = "", discrimination = "none" } = of;
  return discrimination === "none"
    ? machine
    : `${machine}, discrimination ${discrimination.replaceAll("-", " ")}`;
}
