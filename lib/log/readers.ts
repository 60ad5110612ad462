import { FileFault } from "./file_fault.ts";
import { type Format, FORMATS, type Reader } from "./table.ts";

const isZip = (head: Uint8Array): boolean =>
  head[0] === 0x50 && head[1] === 0x4b &&
  ((head[2] === 3 && head[3] === 4) || (head[2] === 5 && head[3] === 6));

/** The head as text, whatever its encoding, without byte order mark, NULs and space in front. */
const headText = (head: Uint8Array): string =>
  new TextDecoder("latin1").decode(head).replace(/^(?:\u00ef\u00bb\u00bf|\u00ff\u00fe|\u00fe\u00ff)/, "")
    .replaceAll(
      "\u0000",
      "",
    ).trimStart();

const inZip = (head: Uint8Array, name: string): boolean =>
  isZip(head) && new TextDecoder("latin1").decode(head).includes(name);

const looksLikeJson = (text: string): boolean => /^(?:\{\s*["}]|\[\s*[{\]])/.test(text);
const looksLikeGeoJson = (text: string): boolean =>
  looksLikeJson(text) && /"type"\s*:\s*"(?:FeatureCollection|Feature|Point)"/.test(text);
const looksLikeLines = (text: string): boolean => /^\{[^\r\n]*\}[ \t]*\r?\n\s*\{/.test(text);

const named = (fileName: string, ending: RegExp): boolean => ending.test(fileName.toLowerCase());

/**
 * Every reader. A reader's parser is loaded when it first reads.
 *
 * How a file begins goes before how it is named: a workbook called .csv is a workbook.
 */
export const READERS: readonly Reader[] = [
  {
    name: "csv",
    fits(fileName, head) {
      if (isZip(head)) return 0;
      const text = headText(head);
      if (named(fileName, /\.(?:csv|tsv|tab|psv)$/)) return 0.7;
      return named(fileName, /\.txt$/) ? 0.5 : text.startsWith("<") ? 0.05 : 0.1;
    },
    read: async (bytes, options) => (await import("./read_csv.ts")).readCsv(bytes, options),
  },
  {
    name: "xlsx",
    fits(fileName, head) {
      if (inZip(head, "[Content_Types].xml") || inZip(head, "xl/")) return 1;
      return isZip(head) && named(fileName, /\.xls[xm]$/) ? 0.95 : named(fileName, /\.xls[xm]$/) ? 0.6 : 0;
    },
    read: async (bytes, options) => (await import("./read_xlsx.ts")).readXlsx(bytes, options),
  },
  {
    name: "json",
    fits(fileName, head) {
      return looksLikeJson(headText(head)) ? 0.8 : named(fileName, /\.json$/) ? 0.75 : 0;
    },
    read: async (bytes, options) => (await import("./read_json.ts")).readJson(bytes, options),
  },
  {
    name: "ndjson",
    fits(fileName, head) {
      if (named(fileName, /\.(?:ndjson|jsonl)$/)) return 0.9;
      return looksLikeLines(headText(head)) ? 0.85 : 0;
    },
    read: async (bytes, options) => (await import("./read_ndjson.ts")).readNdjson(bytes, options),
  },
  {
    name: "geojson",
    fits(fileName, head) {
      return looksLikeGeoJson(headText(head)) ? 0.88 : named(fileName, /\.geojson$/) ? 0.87 : 0;
    },
    read: async (bytes, options) => (await import("./read_geojson.ts")).readGeoJson(bytes, options),
  },
  {
    name: "gpx",
    fits(fileName, head) {
      const text = headText(head);
      if (text.startsWith("<") && /<(?:\w+:)?gpx[\s>]/.test(text)) return 1;
      return named(fileName, /\.gpx$/) ? 0.9 : /^<\?xml\s/.test(text) ? 0.6 : 0;
    },
    read: async (bytes, options) => (await import("./read_gpx.ts")).readGpx(bytes, options),
  },
  {
    name: "zip",
    fits: (_fileName, head) => isZip(head) ? 0.9 : 0,
    read: async (bytes, options) => (await import("./read_zip.ts")).readZip(bytes, options),
  },
];

const begins = (head: Uint8Array, ...bytes: readonly number[]): boolean =>
  bytes.every((byte, i) => head[i] === byte);

/** What a file is that no reader reads, by how it begins, and what to do with it; null for any other. */
function foreignFormat(head: Uint8Array): string | null {
  const text = headText(head);
  if (inZip(head, "application/vnd.oasis.opendocument")) {
    return "an OpenDocument file; save it as .xlsx or CSV UTF-8";
  }
  if (/^(?:<!doctype\s+html|<html[\s>]|<table[\s>])/i.test(text)) {
    return "a web page, which some programs call .xls; open it in a spreadsheet and save it as .xlsx or CSV UTF-8";
  }
  if (text.startsWith("%PDF-")) return "a PDF; export the table itself";
  const packed = begins(head, 0x1f, 0x8b) || begins(head, 0x37, 0x7a, 0xbc, 0xaf, 0x27, 0x1c) ||
    begins(head, 0xfd, 0x37, 0x7a, 0x58, 0x5a, 0) || text.startsWith("Rar!\u001a") ||
    /^BZh[1-9]1AY&SY/.test(text);
  return packed ? "a packed file; unpack it, or pack it as .zip" : null;
}

/**
 * Chooses the reader of a file by how it begins, then by its name.
 *
 * Throws FileFault where the format said is not one that there is, or the file is a PDF, a web page, an OpenDocument file or
 * packed otherwise than as zip.
 */
export function readerOf(fileName: string, head: Uint8Array, format?: Format): Reader {
  if (format !== undefined) {
    const reader = READERS.find(({ name }) => name === format);
    if (reader !== undefined) return reader;
    throw new FileFault(
      `Cannot read ${fileName}: --format must be one of ${FORMATS.join(", ")}, got ${format}`,
      { file: fileName },
    );
  }
  const foreign = foreignFormat(head);
  if (foreign !== null) {
    throw new FileFault(
      `Cannot read ${fileName}: it must be CSV, XLSX, JSON, NDJSON, GeoJSON, GPX or a zip of these, got ${foreign}`,
      { file: fileName },
    );
  }
  let best = READERS[0]!, most = -1;
  for (const reader of READERS) {
    const fit = reader.fits(fileName, head);
    if (fit > most) [best, most] = [reader, fit];
  }
  return best;
}
