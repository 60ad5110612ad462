import { FileFault } from "./file_fault.ts";
import type { Table } from "./table.ts";

/** The decimal mark of a table's numbers, and the first cell that shows it where it is a comma. */
export interface DecimalMark {
  readonly mark: "point" | "comma";
  readonly count: number;
  readonly first: { readonly line: number; readonly value: string } | null;
}

export const DECIMAL_NOTE =
  "A comma in a number was read as the decimal mark, as in the numbers of the whole log";

const WITH_COMMA = /^\s*[+-]?\d+,\d+\s*$/;
const WITH_POINT = /^\s*[+-]?\d+\.\d+\s*$/;
const LIKE_THOUSANDS = /^\s*[+-]?[1-9]\d{0,2},\d{3}\s*$/;

/**
 * Finds out which mark stands before the decimals, from the columns that hold single numbers.
 *
 * Numbers with a comma, and none with a point, make it the comma. Where both occur, the one in nine of ten decides, and
 * the others are rejected with their rows.
 *
 * Throws FileFault, naming the option to give, where neither has nine of ten, or where every number with a comma may as
 * well be thousands ("1,234").
 */
export function decimalMark(table: Table, columns: readonly number[]): DecimalMark {
  let commas = 0, points = 0, likeThousands = 0;
  let first: DecimalMark["first"] = null;
  for (const column of columns) {
    for (let row = 0; row < table.rowCount; row++) {
      const cell = table.cell(row, column);
      if (cell === "") continue;
      if (WITH_POINT.test(cell)) points++;
      else if (cell.includes(",") && WITH_COMMA.test(cell)) {
        commas++;
        if (LIKE_THOUSANDS.test(cell)) likeThousands++;
        const { line } = table.place(row, column);
        if (first === null || line < first.line) first = { line, value: cell.trim() };
      }
    }
  }
  if (commas === 0 || points >= 9 * commas) return { mark: "point", count: 0, first: null };
  const place = { file: table.file, line: first!.line };
  if (likeThousands === commas) {
    throw new FileFault(
      `Cannot use ${table.file}: it must be clear what a comma in a number means, got only such as ${
        JSON.stringify(first!.value)
      } on line ${first!.line}; give --decimal comma, or write thousands without a mark`,
      place,
    );
  }
  if (points > 0 && commas < 9 * points) {
    throw new FileFault(
      `Cannot use ${table.file}: numbers must have one decimal mark, got ${commas} with a comma (first ${
        JSON.stringify(first!.value)
      } on line ${first!.line}) and ${points} with a point; give --decimal comma or --decimal point`,
      place,
    );
  }
  return { mark: "comma", count: commas, first };
}
