import { strToU8, zipSync } from "fflate";
import type { Format } from "../../lib/log/mod.ts";

const escape = (text: string): string =>
  text.replaceAll("&", "&amp;").replaceAll("<", "&lt;").replaceAll(">", "&gt;").replaceAll('"', "&quot;");

export type Cells = readonly (readonly string[])[];

/** Writes the same cells in a format, as another program might. GPX adds latitude and longitude in front. */
export type Writer = (headings: readonly string[], rows: Cells) => Uint8Array;

const csv = (headings: readonly string[], rows: Cells): string =>
  [headings, ...rows].map((row) => row.map((cell) => `"${cell.replaceAll('"', '""')}"`).join(",")).join(
    "\r\n",
  ) +
  "\r\n";

const objects = (headings: readonly string[], rows: Cells): string[] =>
  // Written by hand: an object literal cannot have a member called __proto__.
  rows.map((row) =>
    `{${headings.map((heading, i) => `${JSON.stringify(heading)}: ${JSON.stringify(row[i])}`).join(", ")}}`
  );

/** A workbook of one sheet or more, with texts in the cells; a cell of XML beginning with <c is taken as it is. */
export function workbook(
  sheets: readonly { readonly name: string; readonly rows: Cells; readonly after?: string }[],
  extra: Readonly<Record<string, string>> = {},
): Uint8Array {
  const letters = (column: number): string =>
    (column >= 26 ? letters(Math.floor(column / 26) - 1) : "") + String.fromCharCode(65 + column % 26);
  const files: Record<string, Uint8Array> = {
    "[Content_Types].xml": strToU8(
      '<?xml version="1.0" encoding="UTF-8"?><Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">' +
        '<Default Extension="xml" ContentType="application/xml"/><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>' +
        '<Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/>' +
        sheets.map((_, i) =>
          `<Override PartName="/xl/worksheets/sheet${
            i + 1
          }.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/>`
        ).join("") + "</Types>",
    ),
    "_rels/.rels": strToU8(
      '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="r1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument" Target="xl/workbook.xml"/></Relationships>',
    ),
    "xl/workbook.xml": strToU8(
      '<workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheets>' +
        sheets.map(({ name }, i) => `<sheet name="${escape(name)}" sheetId="${i + 1}" r:id="r${i + 1}"/>`)
          .join("") +
        "</sheets></workbook>",
    ),
    "xl/_rels/workbook.xml.rels": strToU8(
      '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">' +
        sheets.map((_, i) =>
          `<Relationship Id="r${
            i + 1
          }" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet${
            i + 1
          }.xml"/>`
        ).join("") + "</Relationships>",
    ),
  };
  sheets.forEach(({ rows, after = "" }, i) => {
    const cell = (text: string, row: number, column: number): string =>
      text === "" || text.startsWith("<c ")
        ? text
        : `<c r="${letters(column)}${row + 1}" t="inlineStr"><is><t xml:space="preserve">${
          escape(text)
        }</t></is></c>`;
    files[`xl/worksheets/sheet${i + 1}.xml`] = strToU8(
      '<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>' +
        rows.map((row, r) => `<row r="${r + 1}">${row.map((text, c) => cell(text, r, c)).join("")}</row>`)
          .join("") +
        `</sheetData>${after}</worksheet>`,
    );
  });
  for (const [path, text] of Object.entries(extra)) files[path] = strToU8(text);
  return zipSync(files, { mtime: "1990-01-01T00:00:00" });
}

export const gpx = (body: string, attributes = 'version="1.1" creator="a test"'): string =>
  `<?xml version="1.0" encoding="UTF-8"?>\n<gpx ${attributes} xmlns="http://www.topografix.com/GPX/1/1" xmlns:t="urn:test">\n${body}\n</gpx>\n`;

export const writers: Readonly<Record<Format, Writer>> = {
  csv: (headings, rows) => strToU8(csv(headings, rows)),
  xlsx: (headings, rows) => workbook([{ name: "Signals", rows: [headings, ...rows] }]),
  json: (headings, rows) => strToU8(`[\n${objects(headings, rows).join(",\n")}\n]\n`),
  ndjson: (headings, rows) => strToU8(`${objects(headings, rows).join("\n")}\n`),
  geojson: (headings, rows) =>
    strToU8(
      `{"type": "FeatureCollection", "features": [\n${
        objects(headings, rows).map((each) => `{"type": "Feature", "geometry": null, "properties": ${each}}`)
          .join(",\n")
      }\n]}\n`,
    ),
  gpx: (headings, rows) =>
    strToU8(
      gpx(
        rows.map((row, r) =>
          `<wpt lat="${r / 10}" lon="${r}"><extensions>${
            row.map((cell, i) => cell === "" ? "" : `<t:${headings[i]}>${escape(cell)}</t:${headings[i]}>`)
              .join("")
          }</extensions></wpt>`
        ).join("\n"),
      ),
    ),
  zip: (headings, rows) =>
    zipSync({ "my log/log.csv": strToU8(csv(headings, rows)) }, { mtime: "1990-01-01T00:00:00" }),
};

/** A file name of each format. */
export const fileNames: Readonly<Record<Format, string>> = {
  csv: "log.csv",
  xlsx: "log.xlsx",
  json: "log.json",
  ndjson: "log.ndjson",
  geojson: "log.geojson",
  gpx: "log.gpx",
  zip: "log.zip",
};
