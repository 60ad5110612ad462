import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { PassesTable } from "../../lib/log/fast_readings.ts";
import { readReadings } from "../../lib/log/read_readings.ts";
import { bytesOf, scaleA, scaleB } from "./_helpers.ts";

const bit = fc.constantFrom(
  "x",
  "X",
  " ",
  " ",
  "-",
  "1",
  "2",
  "40",
  "405",
  "12.5",
  "0",
  ".",
  "600",
  "5x",
  "a",
  "é",
);
const token = fc.constantFrom("x", "410", "-35", "12", "0.5", "-0", "100", "7", "205", "12345678901");

describe("PassesTable", () => {
  test("reads a cell as readReadings() does, or leaves it", () => {
    let read = 0;
    fc.assert(
      fc.property(
        fc.oneof(
          fc.array(bit, { minLength: 1, maxLength: 9 }).map((bits) => bits.join("")),
          fc.array(token, { minLength: 1, maxLength: 6 }).map((tokens) => tokens.join(" ")),
        ),
        fc.constantFrom(scaleA, scaleB, { low: 0.5, high: 100, step: 0.5 }),
        (cell, scale) => {
          const bytes = bytesOf(`,${cell},`);
          const table = new PassesTable(
            bytes,
            (start, end) => new TextDecoder().decode(bytes.subarray(start, end)),
            1,
          );
          if (!table.read(1, bytes.length - 1, scale)) return;
          read++;
          const { lastReadings, lastSilent, lastOffStep } = table;
          const number = table.take(1, bytes.length - 1, lastSilent, lastReadings + lastSilent);
          const strict = readReadings(cell, { scale });
          expect(strict).toEqual({
            passes: table.get(number),
            assumptions: [],
            flags: lastOffStep ? ["A reading lies between two steps of the machine's scale"] : [],
          });
        },
      ),
      { numRuns: 5000, seed: 3 },
    );
    expect(read).toBeGreaterThan(500);
  });

  test("gives back what was put in, and forgets back to a mark", () => {
    const table = new PassesTable(bytesOf("410 412"), () => "410 412", 0);
    expect(table.read(0, 7, scaleA)).toBe(true);
    table.take(0, 7, 0, 2);
    const mark = table.mark;
    const range = {
      written: "38-42",
      kind: "range",
      readings: [38, 42],
      silent: 1,
      passes: null,
      approximate: true,
    } as const;
    for (let i = 0; i < 2000; i++) table.put(range);
    table.forget(mark);
    expect(table.get(table.put(range))).toEqual(range);
    expect(table.get(1)?.readings).toEqual([410, 412]);
    expect(table.get(0)).toBeNull();
  });
});
