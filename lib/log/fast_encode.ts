import { longer } from "./fast_longer.ts";
import type { CutTable } from "./fast_table.ts";
import type { Table } from "./table.ts";

/** Between cells: the unit separator of ASCII, which no keyboard has. */
const BETWEEN = 0x1f;

/**
 * Writes the cells of any table into bytes, so that it can be read as a text file is. Cells, places and faults stay those
 * of the table; a row with anything out of place is marked as one that only the steps of the schema may read.
 */
export function encodeTable(table: Table): CutTable {
  const { rowCount, headings } = table;
  const whole = table.source?.table ?? table;
  const width = headings.length, wholeWidth = whole.headings.length;
  const starts = new Uint32Array(rowCount),
    ends = new Uint32Array(rowCount),
    marks = new Uint8Array(rowCount);
  const encoder = new TextEncoder(), decoder = new TextDecoder("utf-8", { ignoreBOM: true });
  const between = String.fromCharCode(BETWEEN);
  let body = new Uint8Array(Math.max(1 << 12, rowCount * 64));
  let used = 0;
  for (let row = 0; row < rowCount; row++) {
    starts[row] = ends[row] = used;
    if (table.fault(row) !== null || whole.width(row) !== wholeWidth) {
      marks[row] = 2;
      continue;
    }
    let text = "";
    for (let column = 0; column < width; column++) {
      const cell = table.cell(row, column);
      if (table.cellFault?.(row, column) != null || cell.includes(between)) {
        marks[row] = 2;
        break;
      }
      text += column === 0 ? cell : between + cell;
    }
    if (marks[row] !== 0) continue;
    const needed = used + text.length * 3;
    if (needed > body.length) body = longer(body, needed);
    used += encoder.encodeInto(text, body.subarray(used)).written;
    ends[row] = used;
  }
  const bytes = body.subarray(0, used);
  return {
    file: table.file,
    headings,
    rowCount,
    cell: (row, column) => table.cell(row, column),
    width: (row) => table.width(row),
    fault: (row) => table.fault(row),
    place: (row, column) => table.place(row, column),
    ...(table.notes === undefined ? {} : { notes: table.notes }),
    ...(table.cellFault === undefined
      ? {}
      : { cellFault: (row: number, column: number) => table.cellFault!(row, column) }),
    ...(table.source === undefined ? {} : { source: table.source }),
    body: bytes,
    delimiter: BETWEEN,
    quote: -1,
    start: (row) => starts[row]!,
    end: (row) => ends[row]!,
    marks: (row) => marks[row]!,
    text: (start, end) => decoder.decode(bytes.subarray(start, end)),
    prepareText: () => {},
  };
}
