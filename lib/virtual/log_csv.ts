import { plainCsv } from "../log/mod.ts";
import type { LogRow } from "./_log_row.ts";

/**
 * Writes rows as a log in CSV, as a person's own log is written: RFC 4180, LF line ends, nothing guarded (a readings cell may start with a minus).
 *
 * Fields that a row does not have are empty cells; what is not among `fields` is left out.
 *
 * @example
 * ```ts
 * import { logCsv } from "overiron";
 * if (logCsv(["a", "b"], [{ a: "-5 x", b: 'say "x"' }, {}]) !== 'a,b\n-5 x,"say ""x"""\n,\n') throw new Error("wrong");
 * ```
 */
export function logCsv(fields: readonly string[], rows: Iterable<LogRow>): string {
  const lines = function* () {
    yield fields;
    for (const row of rows) yield fields.map((field) => row[field] ?? "");
  };
  return plainCsv(lines());
}
