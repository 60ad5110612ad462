import { FileFault } from "./file_fault.ts";
import type { JsonNode } from "./_json_text.ts";
import { type TableNotes, type WrittenRow } from "./table.ts";

export const OBJECT_NOTES = {
  list: "A list in a cell was read as passes in order, an empty place (null) as a pass that gave no number",
  nested: "A value inside a value was read as a column named by both, joined by a point",
} as const;

/** Gathers objects as rows under the headings that they name, in the order in which they are first named. */
export class ObjectRows {
  readonly #columns = new Map<string, number>();
  readonly #rows: WrittenRow[] = [];
  readonly #file: string;
  readonly #maxCells: number;
  readonly #notes: TableNotes;

  constructor(file: string, maxCells: number, notes: TableNotes) {
    this.#file = file;
    this.#maxCells = maxCells;
    this.#notes = notes;
  }

  get headings(): readonly string[] {
    return [...this.#columns.keys()].map((heading) => heading.trim());
  }

  get rows(): readonly WrittenRow[] {
    return this.#rows;
  }

  /** A row that could not be read, kept as it stands. */
  addBroken(text: string, line: number, fault: string): void {
    this.#rows.push({ cells: [text], line, fault });
  }

  addBlank(line: number): void {
    this.#rows.push({ cells: [], line });
  }

  /** A row of an object's members, after cells that stand beside it. */
  add(
    node: JsonNode,
    options: { readonly beside?: readonly (readonly [string, string])[]; readonly fault?: string | null } =
      {},
  ): void {
    const { beside = [] } = options;
    let fault = options.fault ?? null;
    const cells: string[] = [];
    const put = (heading: string, text: string): void => {
      let column = this.#columns.get(heading);
      if (column === undefined) {
        column = this.#columns.size;
        this.#columns.set(heading, column);
        if (this.#columns.size * (this.#rows.length + 1) > this.#maxCells) this.#refuseCells();
      }
      while (cells.length < column) cells.push("");
      if ((cells[column] ?? "") !== "" && cells[column] !== text) {
        fault ??= "no two values of a row may have one heading unless they are equal";
      } else cells[column] = text;
    };
    const putNode = (heading: string, value: JsonNode): void => {
      if (value.kind === "object") {
        this.#notes.add(OBJECT_NOTES.nested, value.line, heading);
        for (const [name, inner] of value.members) putNode(`${heading}.${name}`, inner);
      } else if (value.kind === "array") {
        const text = listText(value.items);
        if (text === null) fault ??= "a list in a cell must hold numbers or null only";
        else this.#notes.add(OBJECT_NOTES.list, value.line, text);
        put(heading, text ?? value.items.map(plainText).join(" "));
      } else put(heading, plainText(value));
    };
    for (const [heading, text] of beside) put(heading, text);
    if (node.kind === "object") { for (const [name, value] of node.members) putNode(name, value); }
    else if (node.kind !== "literal" || node.text !== "null") {
      fault ??= "a row must be an object";
      if (cells.length === 0) cells.push(plainText(node));
    }
    this.#rows.push({ cells, line: node.line, fault });
    if (this.#columns.size * this.#rows.length > this.#maxCells) this.#refuseCells();
  }

  #refuseCells(): never {
    throw new FileFault(
      `Cannot read ${this.#file}: it must have ${this.#maxCells} cells or fewer, empty ones counted, got more; raise maxCells (--max-cells) if it is meant`,
      { file: this.#file },
    );
  }
}

/** The text of a single value: null is empty, numbers are as they were written. */
export const plainText = (node: JsonNode): string =>
  node.kind === "object" || node.kind === "array"
    ? "..."
    : node.kind === "literal" && node.text === "null"
    ? ""
    : node.text;

/** A list of numbers as a readings cell, or null where it holds anything else. */
const listText = (items: readonly JsonNode[]): string | null =>
  items.every((item) => item.kind === "number" || (item.kind === "literal" && item.text === "null"))
    ? items.map((item) => plainText(item) || "x").join(" ")
    : null;
