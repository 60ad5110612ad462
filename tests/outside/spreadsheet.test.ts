import { describe, expect, test } from "vitest";
import { readTable, type Table } from "../../lib/log/mod.ts";
import { SEASON_HEADINGS, SEASON_NOTES, SEASON_ROWS } from "../log/_season_workbook.ts";
import { mustHavePrograms, programPath } from "./_programs.ts";

const soffice = programPath(["soffice", "libreoffice"]);
const root = Deno.env.get("OVERIRON_ROOT") ?? Deno.cwd();

/** Lets LibreOffice write a workbook from another file. */
async function toWorkbook(path: string, folder: string, args: readonly string[] = []): Promise<Uint8Array> {
  if (soffice === null) throw new Error("Cannot check: LibreOffice is absent");
  const { success, stderr } = await new Deno.Command(soffice, {
    args: [
      "--headless",
      "--norestore",
      `-env:UserInstallation=file://${folder}/profile`,
      ...args,
      "--convert-to",
      "xlsx",
      "--outdir",
      folder,
      path,
    ],
    stdin: "null",
  }).output();
  if (!success) throw new Error(new TextDecoder().decode(stderr));
  return await Deno.readFile(`${folder}/${path.replace(/^.*\//, "").replace(/\.[^.]*$/, "")}.xlsx`);
}

const cellsOf = (table: Table): string[][] => [
  [...table.headings],
  ...Array.from(
    { length: table.rowCount },
    (_, row) => Array.from({ length: table.width(row) }, (_, column) => table.cell(row, column)),
  ),
];

describe.runIf(soffice !== null || mustHavePrograms())("workbooks written by LibreOffice", () => {
  test("the season of the fixtures, written again, is read as the fixture is", async () => {
    const folder = await Deno.makeTempDir();
    try {
      const bytes = await toWorkbook(`${root}/tests/log/fixtures/season.fods`, folder);
      const table = await readTable({ name: "season.xlsx", bytes });
      expect(cellsOf(table)).toEqual([SEASON_HEADINGS, ...SEASON_ROWS.map(([, cells]) => cells)]);
      expect(SEASON_ROWS.map((_, row) => table.fault(row))).toEqual(SEASON_ROWS.map(([, , fault]) => fault));
      expect(table.notes?.map(({ text, count, first }) => [text, count, first.line, first.value])).toEqual(
        SEASON_NOTES,
      );
    } finally {
      await Deno.remove(folder, { recursive: true });
    }
  }, 120_000);

  test("the demo logs, every cell as text, are read back equal to their CSV files", async () => {
    const folder = await Deno.makeTempDir();
    try {
      for (const name of ["dig-log", "garden-log"]) {
        const path = `${root}/datasets/demo/${name}.csv`;
        const csv = await readTable({ name: `${name}.csv`, bytes: await Deno.readFile(path) });
        // Comma, double quote, UTF-8, from line 1, each column as text (format 2).
        const columns = csv.headings.map((_, i) => `${i + 1}/2`).join("/");
        const bytes = await toWorkbook(path, folder, [`--infilter=CSV:44,34,76,1,${columns}`]);
        const xlsx = await readTable({ name: `${name}.xlsx`, bytes });
        const padded = cellsOf(csv).map((row) =>
          row.concat(Array(csv.headings.length).fill("")).slice(0, csv.headings.length)
        );
        expect(cellsOf(xlsx)).toEqual(padded);
      }
    } finally {
      await Deno.remove(folder, { recursive: true });
    }
  }, 120_000);
});
