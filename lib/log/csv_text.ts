/** What a spreadsheet may take for the start of a formula (also in its full-width forms), and the guard itself. */
const RISKY = /^['=+\-@\t\r\n\uff0b\uff0d\uff1d\uff20]/;
const PLAIN_NUMBER = /^-?\d+(?:\.\d+)?$/;

/**
 * Puts an apostrophe before a text that a spreadsheet would run as a formula, so that it is shown instead. Plain
 * numbers stay. `restoreCell` takes it away again, whatever the text.
 *
 * @example
 * ```ts
 * import { guardCell, restoreCell } from "overiron";
 * if (guardCell("=1+1") !== "'=1+1" || guardCell("-5") !== "-5") throw new Error("wrong");
 * if (restoreCell(guardCell("'quoted")) !== "'quoted") throw new Error("wrong");
 * ```
 */
export const guardCell = (text: string): string =>
  RISKY.test(text) && !PLAIN_NUMBER.test(text) ? `'${text}` : text;

/** Takes away the apostrophe that `guardCell` put before a text. */
export const restoreCell = (text: string): string =>
  text[0] === "'" && RISKY.test(text.slice(1)) && !PLAIN_NUMBER.test(text.slice(1)) ? text.slice(1) : text;

/**
 * Writes rows as CSV by RFC 4180 with LF line ends: cells with a comma, a quote or a line break are quoted, and cells
 * that a spreadsheet would run are guarded. Null is an empty cell.
 *
 * Throws RangeError for a number that is not finite.
 *
 * @example
 * ```ts
 * import { csvText } from "overiron";
 * if (csvText([["a", "b"], ['say "x"', null]]) !== 'a,b\n"say ""x""",\n') throw new Error("wrong");
 * ```
 */
export function csvText(rows: readonly (readonly (string | number | null)[])[]): string {
  return rows.map((row) => {
    const cells = row.map((value) => {
      if (value === null) return "";
      if (typeof value === "number") {
        if (!Number.isFinite(value)) {
          throw new RangeError(`Cannot write CSV: a number must be finite, got ${value}`);
        }
        return String(value);
      }
      const text = guardCell(value);
      return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
    });
    // A row of one empty cell would be a blank line.
    return cells.length === 1 && cells[0] === "" ? '""' : cells.join(",");
  }).join("\n") + "\n";
}
