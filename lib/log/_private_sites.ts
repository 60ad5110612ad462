import { restoreCell } from "./csv_text.ts";
import { asFieldName, type Table } from "./table.ts";

/**
 * The sites that any row marks as private, rejected rows included. Whatever is written there, unless it is "no", counts
 * as a mark: a slip must not publish a site. `rows` limits the look to these rows.
 */
export function privateSitesOf(
  table: Table,
  mapping: ReadonlyMap<string, string>,
  siteOf: (outingId: string) => string | null,
  rows?: readonly number[],
): string[] {
  const column = (name: string): number =>
    table.headings.findIndex((heading) => (mapping.get(heading) ?? asFieldName(heading)) === name);
  const mark = column("site_private"), site = column("site"), outing = column("outing_id");
  const sites: string[] = [];
  const tidy = (row: number, at: number): string =>
    at < 0 ? "" : restoreCell(table.cell(row, at)).trim().replace(/\s+/g, " ");
  const look = (row: number): void => {
    const word = tidy(row, mark).toLowerCase();
    const named = tidy(row, site) || siteOf(tidy(row, outing)) || "";
    if (word !== "" && word !== "no" && named !== "") sites.push(named);
  };
  if (mark < 0) return sites;
  if (rows !== undefined) { for (const row of rows) look(row); }
  else for (let row = 0; row < table.rowCount; row++) look(row);
  return sites;
}
