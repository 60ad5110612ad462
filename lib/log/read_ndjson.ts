import { decodeText } from "./decode_text.ts";
import { FileFault } from "./file_fault.ts";
import { JsonFault, parseJsonText } from "./_json_text.ts";
import { ObjectRows } from "./_object_rows.ts";
import {
  type ReadOptions,
  refuseEqualHeadings,
  refuseLargeFile,
  type Table,
  TableNotes,
  tableOfRows,
} from "./table.ts";

/**
 * Reads a file with a JSON object a line into a table, as `readJson` reads a list of them. A line that is not an object
 * is a faulty row; a line with nothing on it is a blank one.
 *
 * Throws FileFault where no line is an object, two headings are equal, the file is not in its encoding, or it goes
 * beyond a limit.
 *
 * @example
 * ```ts
 * import { readNdjson } from "../log/read_ndjson.ts";
 * const table = readNdjson(new TextEncoder().encode('{"a":1}\n{"b":2}\n'), { file: "log.ndjson" });
 * if (table.headings.join() !== "a,b" || table.cell(1, 1) !== "2") throw new Error("wrong");
 * ```
 */
export function readNdjson(bytes: Uint8Array, options: ReadOptions): Table {
  const { file, maxFileBytes = 1 << 29, maxRowBytes = 1 << 20, maxCells = 20_000_000 } = options;
  const { maxDepth = 50, encoding } = options;
  refuseLargeFile(bytes.length, file, maxFileBytes);
  const { body, note } = decodeText(bytes, file, encoding === undefined ? {} : { encoding });
  const notes = new TableNotes();
  if (note !== null) notes.add(note, 1, "");
  const rows = new ObjectRows(file, maxCells, notes);
  const decoder = new TextDecoder();
  let objects = 0, line = 1;
  for (let start = 0; start < body.length; line++) {
    let end = body.indexOf(10, start);
    if (end < 0) end = body.length;
    if (end - start > maxRowBytes) {
      throw new FileFault(
        `Cannot read ${file}: a line must be ${maxRowBytes} bytes or shorter, got a longer line ${line}; raise maxRowBytes (--max-row-bytes) if it is meant`,
        { file, line },
      );
    }
    const text = decoder.decode(body.subarray(start, end)).replace(/\r$/, "");
    start = end + 1;
    if (text.trim() === "") {
      rows.addBlank(line);
      continue;
    }
    try {
      const node = parseJsonText(text, { line, maxValues: maxCells, maxDepth });
      if (node.kind === "object") {
        objects++;
        rows.add(node);
      } else rows.addBroken(text, line, "a line must be a JSON object");
    } catch (error) {
      if (!(error instanceof JsonFault)) throw error;
      rows.addBroken(text, line, "a line must be a JSON object");
    }
  }
  const { headings } = rows;
  if (objects === 0 || headings.length === 0) {
    throw new FileFault(`Cannot read ${file}: it must have a JSON object a line, got none`, {
      file,
      line: 1,
    });
  }
  refuseEqualHeadings(headings, file, 1);
  return tableOfRows(file, headings, rows.rows, { notes: notes.list() });
}
