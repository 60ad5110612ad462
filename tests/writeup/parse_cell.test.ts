import { describe, expect, test } from "vitest";
import { parseCell, type ParsedCell } from "../../lib/writeup/mod.ts";

const parsed = (source: string): ParsedCell => {
  const cell = parseCell(source);
  if (!("code" in cell)) throw new Error(`not parsed: ${cell.message}`);
  return cell;
};
const lines = (text: string): number => text.split("\n").length;

describe("parseCell()", () => {
  test.each([
    ["const a = ;", 1, 11],
    ["const é = '😀';\nconst b = ;", 2, 11],
    ["%time", 1, 1],
    ["let a = 1;\nlet a = 2;", 1, 5],
    ["1;\nexport const a = 1", 2, 1],
    ["1;\nconst u = import.meta.url", 2, 11],
    ["if (true) {", 1, 12],
  ])("finds the place of the fault in %j", (source, line, column) => {
    expect(parseCell(source)).toMatchObject({ line, column });
  });

  test("keeps every line at its place", () => {
    const source =
      "import a, {\n  b as c,\n  type T,\n} from 'x';\nimport type {\n  Q,\n} from 'q';\n\nconst d: T = c(a);\nd";
    const code = parsed(source).code(new Set(["c"]));
    expect(lines(code)).toBe(lines(source));
    expect(code.split("\n")[8]).toBe("const d: T = c(a);");
    expect(code).toContain('{ "default": a, "b": c }');
    expect(code).toContain('("x", ["b"])');
    expect(code).not.toMatch(/import|"q"/);
  });

  test("tells names used as values from names used as types, property names and keys", () => {
    const names =
      parsed("const a: Typ = value.property as Other; const o = { key: inner, short }; f<Third>()")
        .valueNames;
    for (const name of ["value", "inner", "short", "f"]) expect(names).toContain(name);
    for (const name of ["Typ", "Other", "Third", "property", "key"]) expect(names).not.toContain(name);
  });

  test("finds the declared names with their literal values, and the functions", () => {
    const cell = parsed(
      "const data = '../x'; let n = -3, s = f();\nfunction f() {}\nconst g = () => 1; class K { m() {} }",
    );
    expect([...cell.declared]).toEqual([["data", "../x"], ["n", -3], ["s", undefined], ["g", undefined]]);
    expect([...cell.functionNames].sort()).toEqual(["K", "f", "g", "m"]);
  });

  test("takes an empty cell and one of comments", () => {
    expect(parsed("").code(new Set())).toBe("");
    expect(parsed("// nothing").code(new Set())).toBe("// nothing");
  });
});
