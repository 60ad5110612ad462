import { faultLine, REJECTED_COLUMNS } from "./apply_schema.ts";
import { csvText } from "./csv_text.ts";
import type { RejectedRow } from "./report.ts";

/** A file of rejected rows: its name and its text. */
export interface RejectedFile {
  readonly name: string;
  readonly text: string;
}

/**
 * Writes rejected rows as CSV files, one for each source file, whole and with the reason in front. Mended, such a file
 * can be loaded again: the added columns are passed over. Empty when nothing was rejected.
 *
 * These files hold what is private. They belong beside a write-up, never inside it.
 *
 * @example
 * ```ts
 * import { rejectedCsv } from "overiron";
 * if (rejectedCsv([]).length !== 0) throw new Error("wrong");
 * ```
 */
export function rejectedCsv(rejected: readonly RejectedRow[]): readonly RejectedFile[] {
  const byFile = new Map<string, RejectedRow[]>();
  for (const row of rejected) {
    const rows = byFile.get(row.file);
    if (rows === undefined) byFile.set(row.file, [row]);
    else rows.push(row);
  }
  const names = new Set<string>();
  return [...byFile].map(([file, rows]) => {
    const stem = `rejected-${file.replace(/^.*[/\\]/, "").replace(/\.[^.]*$/, "")}`;
    let name = `${stem}.csv`;
    for (let i = 2; names.has(name); i++) name = `${stem}-${i}.csv`;
    names.add(name);
    return {
      name,
      text: csvText([
        [...REJECTED_COLUMNS, ...rows[0]!.headings],
        ...rows.map((row) => [
          row.file,
          row.line,
          row.faults.map((fault) => faultLine(fault).slice(fault.file.length + 2)).join(" | "),
          ...row.cells,
        ]),
      ]),
    };
  });
}
