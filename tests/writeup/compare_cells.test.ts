import { describe, expect, test } from "vitest";
import { alike, compareCells, type Notebook, readNotebook } from "../../lib/writeup/mod.ts";

const notebook = (outputs: readonly unknown[], count: number | null = 1): Notebook =>
  readNotebook(JSON.stringify({
    nbformat: 4,
    nbformat_minor: 5,
    metadata: {},
    cells: [{ cell_type: "code", id: "a", metadata: {}, source: "x", execution_count: count, outputs }],
  }));
const stream = (text: string) => [{ output_type: "stream", name: "stdout", text }];
const result = (value: number) => [{
  output_type: "display_data",
  metadata: {},
  data: {
    "text/html": `<p>${value.toFixed(1)} cm</p>`,
    "application/vnd.overiron.results+json": {
      results: [{
        id: "garden.halfGapCm",
        of: { machine: "Machine A" },
        unit: "cm",
        value,
        interval: { low: 3, high: 5, level: 0.95, method: "t" },
        n: { trials: 4 },
      }],
      tables: [],
    },
  },
}];

describe("compareCells()", () => {
  const verdict = (was: readonly unknown[], is: readonly unknown[]) =>
    compareCells("n", notebook(was), notebook(is))[0]!;

  test("tells equal, within tolerance and different apart", () => {
    expect(verdict(stream("a 1.5"), stream("a 1.5")).verdict).toBe("equal");
    expect(verdict(stream("a 0.123456789"), stream("a 0.123456790")).verdict).toBe("within-tolerance");
    expect(verdict(stream("a 1.5"), stream("b 1.5"))).toMatchObject({ verdict: "different" });
    expect(verdict(stream("a"), [])).toMatchObject({ verdict: "different" });
  });

  test("a count that is one off is different, however large", () => {
    for (const count of [3, 50, 9999]) {
      expect(verdict(stream(`${count} holes`), stream(`${count + 1} holes`)).verdict).toBe("different");
    }
  });

  test("a recorded number is told by its id, with how far it is off", () => {
    const { verdict: found, differences } = verdict(result(4.12), result(4.62));
    expect(found).toBe("different");
    expect(differences[0]).toBe(
      "garden.halfGapCm (machine: Machine A) was 4.12 (3 to 5), is 4.62 (3 to 5): 0.5 apart",
    );
    expect(verdict(result(4.12), result(4.12 * (1 + 1e-9))).verdict).toBe("within-tolerance");
    // Rounded alike on the page and apart in the record: the record decides.
    expect(verdict(result(4.12), result(4.14)).verdict).toBe("different");
  });

  test("a cell that was not reached is told so", () => {
    expect(compareCells("n", notebook(stream("1")), notebook([], null))[0]!.verdict).toBe("not-run");
  });

  test("alike() takes a unit of the last decimal only where three digits are written", () => {
    expect(alike("x 12.34", "x 12.35", 1e-6)).toBe(true);
    expect(alike("x 0.34", "x 0.35", 1e-6)).toBe(false);
    expect(alike("x 12.34", "x 12.36", 1e-6)).toBe(false);
    expect(alike("12.34", "12.345", 1e-6)).toBe(false);
    expect(alike("1 2", "1 2 3", 1)).toBe(false);
  });
});
