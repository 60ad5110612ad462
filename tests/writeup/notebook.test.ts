import { describe, expect, test } from "vitest";
import { readNotebook, writeNotebook } from "../../lib/writeup/mod.ts";

const cell = (id: string, source: unknown = "1") => ({
  cell_type: "code",
  id,
  metadata: {},
  source,
  execution_count: null,
  outputs: [],
});
const json = (cells: unknown[]) => JSON.stringify({ nbformat: 4, nbformat_minor: 5, metadata: {}, cells });

describe("readNotebook()", () => {
  test("joins texts that are split into lines and keeps what it does not know", () => {
    const notebook = readNotebook(json([{ ...cell("a", ["x\n", "y"]), attachments: { b: 1 } }]));
    expect(notebook.cells[0]).toMatchObject({ source: "x\ny", attachments: { b: 1 } });
  });

  test("refuses what is no notebook, an older format, a cell without id, one id twice", () => {
    expect(() => readNotebook("{")).toThrow(/^Cannot read notebook: it is not JSON/);
    expect(() => readNotebook('{"nbformat":3,"nbformat_minor":0,"metadata":{},"cells":[]}')).toThrow(
      /at nbformat:/,
    );
    expect(() => readNotebook('{"nbformat":4,"nbformat_minor":4,"metadata":{},"cells":[]}')).toThrow(
      /at nbformat_minor:/,
    );
    const { id: _, ...without } = cell("a");
    expect(() => readNotebook(json([without]))).toThrow(/at cells\.0\.id:/);
    expect(() => readNotebook(json([cell("a b")]))).toThrow(/at cells\.0\.id:/);
    expect(() => readNotebook(json([cell("a"), cell("a")]))).toThrow(
      new SyntaxError('Cannot read notebook: every cell needs an id of its own, got "a" twice'),
    );
  });
});

describe("writeNotebook()", () => {
  test("gives the same bytes whatever the order of keys, ends with a newline, and reads back equal", () => {
    const one = json([cell("a", "x\ny\n"), {
      cell_type: "markdown",
      id: "b",
      metadata: { z: 1, a: [2] },
      source: "",
    }]);
    const two = JSON.stringify({
      cells: JSON.parse(one).cells,
      metadata: {},
      nbformat_minor: 5,
      nbformat: 4,
    });
    const written = writeNotebook(readNotebook(one));
    expect(writeNotebook(readNotebook(two))).toBe(written);
    expect(written.endsWith("}\n")).toBe(true);
    expect(readNotebook(written)).toEqual(readNotebook(one));
    expect(JSON.parse(written).cells[0].source).toEqual(["x\n", "y\n"]);
    expect(JSON.parse(written).cells[1].source).toEqual([]);
  });

  test("splits the texts of outputs into lines and leaves JSON alone, and reading joins them again", () => {
    const data = {
      "text/html": "<p>a</p>\n<p>b</p>",
      "application/x+json": ["a", "b"],
      "application/json": "one",
    };
    const output = { output_type: "display_data", data, metadata: { a: ["b"] } };
    const notebook = readNotebook(json([{ ...cell("a"), outputs: [output] }]));
    const written = writeNotebook(notebook);
    expect(JSON.parse(written).cells[0].outputs[0].data).toEqual({
      "application/json": "one",
      "application/x+json": ["a", "b"],
      "text/html": ["<p>a</p>\n", "<p>b</p>"],
    });
    expect(readNotebook(written)).toEqual(notebook);
    expect(writeNotebook(readNotebook(written))).toBe(written);
  });
});
