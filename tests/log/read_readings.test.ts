import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { READINGS_NOTES, readReadings, type ReadReadingsOptions } from "../../lib/log/mod.ts";
import { scaleA, scaleB } from "./_helpers.ts";

const read = (cell: string, options: ReadReadingsOptions = {}) => {
  const out = readReadings(cell, options);
  if ("fault" in out) throw new Error(`fault: ${out.fault}`);
  return out;
};
const passesOf = (cell: string, options: ReadReadingsOptions = {}) => {
  const { passes } = read(cell, options);
  return passes === null ? null : [passes.kind, passes.readings, passes.silent, passes.passes];
};
const faultOf = (cell: string, options: ReadReadingsOptions = {}) => {
  const out = readReadings(cell, options);
  return "fault" in out ? [out.at, out.fault] : "no fault";
};

describe("readReadings() reads passes", () => {
  test.each([
    ["38 40 41", [38, 40, 41], 0],
    ["38,40,41", [38, 40, 41], 0],
    ["38, 40, 41", [38, 40, 41], 0],
    ["38;40;41", [38, 40, 41], 0],
    ["38/40/41", [38, 40, 41], 0],
    ["38|40 | 41", [38, 40, 41], 0],
    [" 38\t40 ", [38, 40], 0],
    ["38", [38], 0],
    ["-5", [-5], 0],
    ["\u22125", [-5], 0],
    ["-20 -25 -30", [-20, -25, -30], 0],
    ["10 -20 -30", [10, -20, -30], 0],
    ["+7 38.5", [7, 38.5], 0],
    ["x", [], 1],
    [".", [], 1],
    ["X x .", [], 3],
    ["38 x 40 41", [38, 40, 41], 1],
    ["x 400 x", [400], 2],
    ["-0 4", [0, 4], 0],
  ])("%j", (cell, readings, silent) => {
    expect(passesOf(cell)).toEqual(["passes", readings, silent, readings.length + silent]);
  });

  test("keeps the cell as written and says nothing about plain passes", () => {
    const out = read(" 38 x 40 41 ");
    expect(out.passes?.written).toBe("38 x 40 41");
    expect(out.assumptions).toEqual([]);
    expect(out.flags).toEqual([]);
  });

  test("takes an empty cell for not logged", () => {
    expect(readReadings("  ")).toEqual({ passes: null, assumptions: [], flags: [] });
  });
});

describe("readReadings() reads summaries and says so", () => {
  test.each([
    ["38-42", [38, 42]],
    ["38 - 42", [38, 42]],
    ["38- 42", [38, 42]],
    ["38\u201342", [38, 42]],
    ["38 to 42", [38, 42]],
    ["38 TO 42", [38, 42]],
    ["-20--10", [-20, -10]],
    ["-20 - -10", [-20, -10]],
    ["-20-10", [-20, 10]],
    ["40-40", [40, 40]],
  ])("range %j", (cell, readings) => {
    expect(passesOf(cell)).toEqual(["range", readings, 0, null]);
    expect(read(cell).assumptions).toContain(READINGS_NOTES.range);
  });

  test("a range from high to low is turned round, and listed", () => {
    expect(passesOf("42-38")).toEqual(["range", [38, 42], 0, null]);
    expect(read("42-38").assumptions).toContain(READINGS_NOTES.rangeTurned);
  });

  test.each([["38-40-44", [38, 40, 44]], ["38 - 40 - 44", [38, 40, 44]], ["-20--15--5", [-20, -15, -5]]])(
    "low-usual-high %j",
    (cell, readings) => {
      expect(passesOf(cell)).toEqual(["low-usual-high", readings, 0, null]);
      expect(read(cell).assumptions).toEqual([READINGS_NOTES.triple]);
    },
  );

  test("takes the number of passes from the column", () => {
    expect(passesOf("38-42", { passes: 6, silent: 1 })).toEqual(["range", [38, 42], 1, 6]);
  });
});

describe("readReadings() reads counts", () => {
  test.each(["38x3", "38 x 3", "38x 3", "38 x3", "38\u00d73", "38 \u00d7 3", "38*3"])(
    "%j is three passes of 38",
    (cell) => {
      expect(passesOf(cell, { scale: scaleA })).toEqual(["passes", [38, 38, 38], 0, 3]);
      expect(read(cell).assumptions).toEqual([READINGS_NOTES.count]);
    },
  );

  test("mixes counts written without spaces with other passes", () => {
    expect(passesOf("38x2 x 40")).toEqual(["passes", [38, 38, 40], 1, 4]);
  });

  test("an x between two readings is a silent pass where the last cannot be a count, and listed", () => {
    expect(passesOf("40 x 42")).toEqual(["passes", [40, 42], 1, 3]);
    expect(read("40 x 42").assumptions).toEqual([READINGS_NOTES.spacedSilent]);
  });

  test("on a scale in fives, 20 x 5 is 20, silent, 5 and 20 x 3 is three passes", () => {
    expect(passesOf("20 x 5", { scale: scaleB })).toEqual(["passes", [20, 5], 1, 3]);
    expect(read("20 x 5", { scale: scaleB }).assumptions).toEqual([READINGS_NOTES.spacedSilent]);
    expect(passesOf("20 x 3", { scale: scaleB })).toEqual(["passes", [20, 20, 20], 0, 3]);
  });

  test("the counts beside the cell decide before anything else", () => {
    expect(passesOf("38 x 3", { passes: 3, silent: 1 })).toEqual(["passes", [38, 3], 1, 3]);
    expect(passesOf("38 x 4", { passes: 3 })).toEqual(["passes", [38, 4], 1, 3]);
    expect(passesOf("20 x 5", { scale: scaleB, passes: 5 })).toEqual(["passes", [20, 20, 20, 20, 20], 0, 5]);
  });

  test("spacedX says what the log means", () => {
    expect(passesOf("38 x 3", { spacedX: "silent" })).toEqual(["passes", [38, 3], 1, 3]);
    expect(passesOf("20 x 5", { scale: scaleB, spacedX: "count" })).toEqual([
      "passes",
      [20, 20, 20, 20, 20],
      0,
      5,
    ]);
  });

  test("a silent pass in a longer list that could be a count is listed", () => {
    expect(passesOf("38 x 3 40")).toEqual(["passes", [38, 3, 40], 1, 4]);
    expect(read("38 x 3 40").assumptions).toEqual([READINGS_NOTES.spacedSilent]);
    expect(read("x 3").assumptions).toEqual([READINGS_NOTES.leadingSilent]);
  });
});

describe("readReadings() reads rough numbers, commas and close minus signs, and says so", () => {
  test.each(["40ish", "~40", "~ 40", "c.40", "c. 40", "c40", "ca. 40", "40?", "about 40", "\u224840"])(
    "%j is a rough 40",
    (cell) => {
      const out = read(cell);
      expect([out.passes?.readings, out.passes?.approximate, out.passes?.passes]).toEqual([[40], true, 1]);
      expect(out.assumptions).toEqual([READINGS_NOTES.approximate]);
    },
  );

  test("38,5 is two passes, listed as something to check", () => {
    expect(passesOf("38,5")).toEqual(["passes", [38, 5], 0, 2]);
    expect(read("38,5").assumptions).toEqual([READINGS_NOTES.comma]);
  });

  test("commas without a space beside spaces are refused: they look like decimal commas", () => {
    expect(faultOf("38,5 39,5")).toEqual([
      "readings",
      "commas without a space stand beside spaces: write a decimal point, or a space after each comma",
    ]);
  });

  test("38 -42 is two passes on a scale with negative numbers, listed, and a fault on one without", () => {
    expect(passesOf("38 -42", { scale: scaleB })).toEqual(["passes", [38, -42], 0, 2]);
    expect(read("38 -42", { scale: scaleB }).assumptions).toEqual([READINGS_NOTES.minus]);
    expect(faultOf("38 -42", { scale: scaleA })[0]).toBe("readings");
    expect(faultOf("38 -42", { scale: scaleA })[1]).toContain("38-42 or 38 - 42 for a range");
  });
});

describe("readReadings() refuses the rest", () => {
  test.each([
    ["forty", "must be readings: numbers, with x for a pass that gave none"],
    ["n/a", "must be readings: numbers, with x for a pass that gave none"],
    ["38%", "must be readings: numbers, with x for a pass that gave none"],
    ["(38)", "must be readings: numbers, with x for a pass that gave none"],
    ["1e3", "must be readings: numbers, with x for a pass that gave none"],
    ["x3", "must be readings: numbers, with x for a pass that gave none"],
    ["xx", "must be readings: numbers, with x for a pass that gave none"],
    ["10 --5", "must be readings: numbers, with x for a pass that gave none"],
    ["<script>1</script>", "must be readings: numbers, with x for a pass that gave none"],
    ["-", "a lone hyphen could be an empty cell or a silent pass: leave the cell empty, or write x"],
    ["38 - x", "a lone hyphen could be an empty cell or a silent pass: leave the cell empty, or write x"],
    ["38-42 40", "a range must stand alone in its cell"],
    ["38 to 40 to 44", "a range must stand alone in its cell"],
    ["38-40-42-44", "must be readings: numbers, with x for a pass that gave none"],
    ["44-40-38", "three numbers joined by hyphens must be lowest, usual and highest, in rising order"],
    ["38.", "a point must stand inside a number, or alone for a pass that gave none"],
    ["38..42", "a point must stand inside a number, or alone for a pass that gave none"],
    [".5", "a point must stand inside a number, or alone for a pass that gave none"],
    ["38x0", "the count after an x must be from 1 to 50"],
    ["38x99", "the count after an x must be from 1 to 50"],
    [",", "must hold a number, or x for a pass that gave none"],
  ])("%j", (cell, rule) => {
    expect(faultOf(cell)).toEqual(["readings", rule]);
  });

  test("a cell of thousands of passes", () => {
    expect(faultOf("1 ".repeat(600))).toEqual(["readings", "must be 500 passes or fewer"]);
  });

  test("readings outside the scale, at both ends, in passes and in summaries", () => {
    expect(faultOf("38 601", { scale: scaleA })).toEqual([
      "readings",
      "a reading lies above the machine's scale, which ends at 600",
    ]);
    expect(faultOf("-5", { scale: scaleA })).toEqual([
      "readings",
      "a reading lies below the machine's scale, which begins at 0",
    ]);
    expect(faultOf("38-601", { scale: scaleA })[1]).toContain("above the machine's scale");
    expect(passesOf("0 600", { scale: scaleA })).toEqual(["passes", [0, 600], 0, 2]);
  });

  test("a reading between two steps is flagged, not refused", () => {
    expect(read("37", { scale: scaleB }).flags).toEqual([READINGS_NOTES.offStep]);
    expect(read("35", { scale: scaleB }).flags).toEqual([]);
  });
});

describe("readReadings() folds the counts beside the cell in", () => {
  test("silent passes from the column, or from the cell, or from both when they agree", () => {
    expect(passesOf("38 40", { silent: 2 })).toEqual(["passes", [38, 40], 2, 4]);
    expect(passesOf("38 x", { silent: 1, passes: 2 })).toEqual(["passes", [38], 1, 2]);
    expect(faultOf("38 x", { silent: 2 })).toEqual([
      "silent",
      "the silent passes written in the cell are not as many as the column says",
    ]);
  });

  test("an empty cell beside silent passes is that many silent passes", () => {
    expect(passesOf("", { silent: 3 })).toEqual(["passes", [], 3, 3]);
    expect(passesOf("", { silent: 0, passes: 0 })).toBe(null);
    expect(faultOf("", { passes: 4 })[0]).toBe("passes");
    expect(faultOf("", { passes: 4, silent: 1 })[0]).toBe("passes");
  });

  test("passes must be no fewer than what is written", () => {
    expect(faultOf("38 40 x", { passes: 2 })).toEqual([
      "passes",
      "there are fewer passes than readings and silent ones together",
    ]);
    expect(faultOf("38-42", { passes: 1 })[0]).toBe("passes");
  });

  test("one number for several passes is the usual reading; two for more are a fault unless the silent ones are told", () => {
    expect(passesOf("40", { passes: 5 })).toEqual(["passes", [40], 0, 5]);
    expect(read("40", { passes: 5 }).assumptions).toEqual([READINGS_NOTES.usual]);
    expect(faultOf("38 40", { passes: 5 })[0]).toBe("passes");
    expect(passesOf("38 40", { passes: 5, silent: 1 })).toEqual(["passes", [38, 40], 1, 5]);
    expect(read("38 40", { passes: 5, silent: 1 }).flags).toEqual([READINGS_NOTES.fewer]);
  });
});

test("readReadings() never throws, and never finds a number that is not written", () => {
  const piece = fc.constantFrom(
    "38",
    "-5",
    "x",
    ".",
    "-",
    " ",
    ",",
    "to",
    "ish",
    "~",
    "x3",
    "40.5",
    "/",
    ";",
    "é",
    "--",
    "c.",
    "?",
  );
  fc.assert(
    fc.property(
      fc.array(piece, { maxLength: 8 }),
      fc.option(fc.nat(6)),
      fc.option(fc.nat(6)),
      (pieces, silent, passes) => {
        const cell = pieces.join("");
        const out = readReadings(cell, { silent, passes });
        if ("fault" in out || out.passes === null) return true;
        const found = out.passes;
        const digits = new Set(cell.match(/\d+(?:\.\d+)?/g) ?? []);
        return found.readings.every((value) => digits.has(String(Math.abs(value)))) &&
          (found.passes === null ||
            found.passes >= found.silent);
      },
    ),
    { numRuns: 3000 },
  );
});

test("readReadings() gives the same again from its own cell and counts", () => {
  const piece = fc.constantFrom("38", "-5", "x", ".", "3", "5", "x3", "40ish");
  const joint = fc.constantFrom(" ", ", ", "/", "-", " - ", " x ");
  fc.assert(
    fc.property(
      fc.array(fc.tuple(piece, joint), { maxLength: 5 }),
      fc.option(fc.nat(6)),
      fc.option(fc.nat(6)),
      fc.constantFrom(scaleA, scaleB, undefined),
      (parts, silent, passes, scale) => {
        const cell = parts.map(([a, b], i) => i === parts.length - 1 ? a : a + b).join("");
        const given = scale === undefined ? {} : { scale };
        for (const spacedX of ["count", "silent"] as const) {
          const first = readReadings(cell, { silent, passes, spacedX, ...given });
          if ("fault" in first || first.passes === null) continue;
          const { passes: was } = first;
          const again = readReadings(was.written, {
            silent: was.silent,
            passes: was.passes,
            spacedX,
            ...given,
          });
          expect("fault" in again ? again : again.passes).toEqual(was);
        }
      },
    ),
    { numRuns: 3000 },
  );
});
