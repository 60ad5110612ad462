/**
 * Writes rows of text as CSV by RFC 4180, as a person's own log is written: nothing is guarded, since a readings cell may start with a minus.
 *
 * Every row ends with `end`, a line feed unless told.
 *
 * @example
 * ```ts
 * import { plainCsv } from "overiron";
 * if (plainCsv([["a", "b"], ["-5 x", 'say "x"']]) !== 'a,b\n-5 x,"say ""x"""\n') throw new Error("wrong");
 * ```
 */
export function plainCsv(
  rows: Iterable<readonly string[]>,
  { end = "\n" }: { readonly end?: string } = {},
): string {
  const cell = (text: string): string => /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
  let text = "";
  for (const row of rows) text += row.map(cell).join(",") + end;
  return text;
}
