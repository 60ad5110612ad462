import { describe, expect, test } from "vitest";
import { bandTable } from "../../lib/tones/band_table.ts";

const base = { of: {}, rows: ["a", "b"], columns: ["x", "y"] };
// Newcombe (1998), Statistics in Medicine 17:857, table I: 15 of 148 has Wilson limits .0624 and .1605.
const entries = Array.from(
  { length: 148 },
  (_, i) => ({ row: 0, column: i < 15 ? 0 : 1, count: 1, cluster: `${i % 10}` }),
);

describe("bandTable()", () => {
  test("gives signals Wilson's interval", () => {
    const { shares, counts, n } = bandTable(entries, { ...base, unit: "signals" });
    expect(counts).toEqual([[15, 133], [0, 0]]);
    expect(n).toBe(148);
    const share = shares[0]![0]!;
    if (!("value" in share)) throw new Error("absent");
    expect(share.interval.low.toFixed(4)).toBe("0.0624");
    expect(share.interval.high.toFixed(4)).toBe("0.1605");
    expect(shares[1]![0]).toMatchObject({ absent: "no cases", n: { signals: 0 } });
  });
  test("gives passes that come in groups wider intervals than as many independent ones", () => {
    const cluster = (i: number) => Math.floor(i / 15); // each group says one thing throughout
    const grouped = Array.from(
      { length: 150 },
      (_, i) => ({ row: 0, column: cluster(i) % 2, count: 1, cluster: `${cluster(i)}` }),
    );
    const width = (unit: "passes" | "signals") => {
      const share = bandTable(grouped, { ...base, unit }).shares[0]![0]!;
      return "value" in share ? share.interval.high - share.interval.low : NaN;
    };
    expect(width("passes")).toBeGreaterThan(2.5 * width("signals"));
  });
  test("refuses what does not fit", () => {
    const one = { row: 2, column: 0, count: 1, cluster: "a" };
    expect(() => bandTable([one], { ...base, unit: "trials" })).toThrow(
      new RangeError("Cannot count: need a row below 2 and a column below 2, got 2, 0"),
    );
    expect(() => bandTable([{ ...one, row: 0, count: 1.5 }], { ...base, unit: "trials" })).toThrow(
      new RangeError("Cannot count: a count is a whole number of 0 or above, got 1.5"),
    );
  });
});
