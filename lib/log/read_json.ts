import { decodeText } from "./decode_text.ts";
import { FileFault } from "./file_fault.ts";
import { JsonFault, type JsonNode, parseJsonText } from "./_json_text.ts";
import { ObjectRows, plainText } from "./_object_rows.ts";
import {
  type ReadOptions,
  refuseEqualHeadings,
  refuseLargeFile,
  type Table,
  TableNotes,
  tableOfRows,
} from "./table.ts";

/** The note on a JSON file whose rows lie inside an object that says other things as well. */
export const PASSED_OVER = "What stands beside the list of rows was passed over";

/** Reads a whole JSON file; a fault of it is a fault of the file. */
export function jsonOfFile(bytes: Uint8Array, options: ReadOptions, notes: TableNotes): JsonNode {
  const { file, maxFileBytes = 1 << 29, maxCells = 20_000_000, maxDepth = 50, encoding } = options;
  refuseLargeFile(bytes.length, file, maxFileBytes);
  const { body, note } = decodeText(bytes, file, encoding === undefined ? {} : { encoding });
  if (note !== null) notes.add(note, 1, "");
  try {
    return parseJsonText(new TextDecoder().decode(body), { maxValues: maxCells, maxDepth });
  } catch (error) {
    if (!(error instanceof JsonFault)) throw error;
    throw new FileFault(`Cannot read ${file}: it must be JSON: ${error.message}, line ${error.line}`, {
      file,
      line: error.line,
    });
  }
}

const isObject = (node: JsonNode): boolean => node.kind === "object";

/** The list of rows in a JSON file: the top itself, or the only list of objects in the object at the top. */
function listOfRows(top: JsonNode, file: string, notes: TableNotes): readonly JsonNode[] {
  if (top.kind === "array") return top.items;
  const refuse = (got: string): never => {
    throw new FileFault(`Cannot read ${file}: it must hold a list of objects, one a row, got ${got}`, {
      file,
      line: top.line,
    });
  };
  if (top.kind !== "object") return refuse("a single value");
  const lists = top.members.filter(([, node]) =>
    node.kind === "array" && node.items.length > 0 && node.items.every(isObject)
  );
  const [only, other] = lists;
  if (only === undefined) return refuse("an object without one");
  if (other !== undefined) {
    return refuse(
      `several: ${lists.map(([name]) => JSON.stringify(name)).join(", ")}; save each as a file of its own`,
    );
  }
  for (const [name, node] of top.members) if (node !== only[1]) notes.add(PASSED_OVER, node.line, name);
  return (only[1] as { items: readonly JsonNode[] }).items;
}

/**
 * Reads a JSON file into a table: a list of objects, a row each, with headings in the order in which they are first
 * met; or a list of lists, the first of which is the heading row. The list may also be the only one inside an object.
 *
 * Numbers are kept as they are written, null is an empty cell, true and false are words. A list of numbers in a cell is
 * a readings cell; an object in a cell gives columns named "outer.inner". Both are noted.
 *
 * Throws FileFault for text that is not JSON or not of that shape, an object with two members of one name, two equal
 * headings, and a file beyond a limit.
 *
 * @example
 * ```ts
 * import { readJson } from "../log/read_json.ts";
 * const bytes = new TextEncoder().encode('[{"a": 1.50, "b": [38, null]}]');
 * const table = readJson(bytes, { file: "log.json" });
 * if (table.cell(0, 0) !== "1.50" || table.cell(0, 1) !== "38 x") throw new Error("wrong");
 * ```
 */
export function readJson(bytes: Uint8Array, options: ReadOptions): Table {
  const { file, maxCells = 20_000_000 } = options;
  const notes = new TableNotes();
  const top = jsonOfFile(bytes, options, notes);
  const items = listOfRows(top, file, notes);
  const [first] = items;
  if (first === undefined) {
    throw new FileFault(`Cannot read ${file}: it must hold a row, got an empty list`, {
      file,
      line: top.line,
    });
  }
  if (first.kind === "array") return tableOfLists(items, file, notes);
  const rows = new ObjectRows(file, maxCells, notes);
  for (const item of items) rows.add(item);
  const { headings } = rows;
  if (headings.length === 0) {
    throw new FileFault(`Cannot read ${file}: a row must be an object with a value, got none`, {
      file,
      line: first.line,
    });
  }
  refuseEqualHeadings(headings, file, first.line);
  return tableOfRows(file, headings, rows.rows, { headingLine: top.line, notes: notes.list() });
}

function tableOfLists(items: readonly JsonNode[], file: string, notes: TableNotes): Table {
  const [top, ...rest] = items.map((item) => ({
    line: item.line,
    fault: item.kind !== "array"
      ? "a row must be a list, as the first is"
      : item.items.some(({ kind }) => kind === "object" || kind === "array")
      ? "a cell must be a single value"
      : null,
    cells: item.kind === "array" ? item.items.map(plainText) : [plainText(item)],
  }));
  if (top!.fault !== null) {
    throw new FileFault(`Cannot read ${file}: headings must be single values, got something else`, {
      file,
      line: top!.line,
    });
  }
  const headings = top!.cells.map((heading) => heading.trim());
  refuseEqualHeadings(headings, file, top!.line);
  const rows = rest.map((row) => ({
    ...row,
    width: row.fault === null ? row.cells.length : headings.length,
  }));
  return tableOfRows(file, headings, rows, { headingLine: top!.line, notes: notes.list() });
}
