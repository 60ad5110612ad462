import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { ReadingsConventions } from "../../lib/log/mapping.ts";
import { joinPasses, partDirections, passesIn, readingsConverter } from "../../lib/log/mapping_readings.ts";
import { readReadings } from "../../lib/log/read_readings.ts";

const to = (cell: string, conventions: ReadingsConventions): string => {
  const made = readingsConverter(conventions)(cell);
  return "text" in made ? made.text : `fault: ${made.fault}`;
};
const read = (cell: string, conventions: ReadingsConventions) => {
  const made = readReadings(to(cell, conventions));
  return "fault" in made ? made.fault : made.passes;
};

describe("readingsConverter() gives each sign the log's own meaning", () => {
  test("a comma", () => {
    expect(to("38,5 40,5", { comma: "decimal" })).toBe("38.5 40.5");
    expect(to("38,5", { comma: "passes" })).toBe("38 5");
    expect(to("38,40,x,42", { comma: "passes" })).toBe("38 40 x 42");
    expect(to("38,40,42", { comma: "decimal" })).toMatch(/^fault/);
    expect(to("38.5 40,5", { comma: "decimal" })).toMatch(/^fault/);
    expect(read("38,5", { comma: "decimal" })).toMatchObject({ readings: [38.5], passes: 1 });
    expect(read("38,5", { comma: "passes" })).toMatchObject({ readings: [38, 5], passes: 2 });
  });
  test("a hyphen", () => {
    expect(read("38-42", { hyphen: "range" })).toMatchObject({ kind: "range", readings: [38, 42] });
    expect(read("38-42", { hyphen: "passes" })).toMatchObject({ kind: "passes", readings: [38, 42] });
    expect(read("38-40-42-x", { hyphen: "passes" })).toMatchObject({ readings: [38, 40, 42], silent: 1 });
    expect(read("-5--3", { hyphen: "passes" })).toMatchObject({ readings: [-5, -3] });
    expect(read("38 \u2013 42", { hyphen: "passes" })).toMatchObject({ readings: [38, 42] });
  });
  test("a hyphen alone", () => {
    expect(read("-", { lone_hyphen: "silent" })).toMatchObject({ readings: [], silent: 1, passes: 1 });
    expect(read("-", { lone_hyphen: "empty" })).toBe(null);
    expect(read("-", {})).toMatch(/a lone hyphen/);
    expect(read("38 - 40 -", { lone_hyphen: "silent" })).toMatchObject({ readings: [38, 40], silent: 2 });
    expect(read("38 - 42", { lone_hyphen: "silent" })).toMatchObject({ kind: "range" });
  });
  test("an x between two numbers", () => {
    expect(read("38 x 3", { spaced_x: "count" })).toMatchObject({ readings: [38, 38, 38], silent: 0 });
    expect(read("38 x 3", { spaced_x: "silent" })).toMatchObject({ readings: [38, 3], silent: 1, passes: 3 });
  });
  test("two numbers", () => {
    expect(read("38 12", { two_numbers: "first" })).toMatchObject({ readings: [38] });
    expect(read("38/12", { two_numbers: "second" })).toMatchObject({ readings: [12] });
    expect(read("38 12", { two_numbers: "passes" })).toMatchObject({ readings: [38, 12] });
    expect(read("38 40 12", { two_numbers: "first" })).toMatchObject({ readings: [38, 40, 12] });
  });
  test("words for a silent pass", () => {
    expect(read("38 none 40", { silent_words: ["none"] })).toMatchObject({ readings: [38, 40], silent: 1 });
    expect(read("No Tone", { silent_words: ["no tone"] })).toMatchObject({ silent: 1 });
    expect(to("nonesuch", { silent_words: ["none"] })).toBe("nonesuch");
    expect(to("38 (.*) 40", { silent_words: ["(.*)"] })).toBe("38 x 40");
  });
});

test("readingsConverter() without a convention changes nothing but the spelling of signs", () => {
  fc.assert(
    fc.property(
      fc.array(fc.constantFrom("38", "-5", "x", ".", "38-42", "40ish", "38x3"), { maxLength: 6 }),
      (tokens) => {
        const cell = tokens.join(" ");
        expect(readReadings(to(cell, {}))).toEqual(readReadings(cell));
        expect(readingsConverter({})(cell)).toEqual({ text: cell, notes: [] });
      },
    ),
  );
});

describe("partDirections()", () => {
  test("takes passes in turn", () => {
    expect(partDirections("38 40 x 42 39", "in-turn")).toMatchObject({ right: "38 x 39", left: "40 42" });
    expect(partDirections("38 40 x 42 39", "in-turn-from-left")).toMatchObject({
      right: "40 42",
      left: "38 x 39",
    });
    expect(partDirections("38x3", "in-turn")).toMatchObject({ right: "38 38", left: "38" });
  });
  test("keeps a summary and what is not known on one side, and says so", () => {
    expect(partDirections("38-42", "in-turn")).toMatchObject({ right: "38-42", left: "" });
    const unknown = partDirections("38 40", "not-known");
    expect(unknown).toMatchObject({ right: "38 40", left: "" });
    expect("notes" in unknown && unknown.notes[0]).toMatch(/direction is not known/);
  });
  test("guesses no direction", () => {
    expect(partDirections("38 40", undefined)).toHaveProperty("fault");
    expect(partDirections("", undefined)).toEqual({ right: "", left: "", notes: [] });
  });
  test("loses no pass", () => {
    fc.assert(
      fc.property(
        fc.array(fc.oneof(fc.integer({ min: -200, max: 600 }).map(String), fc.constant("x")), {
          minLength: 1,
          maxLength: 20,
        }),
        (passes) => {
          const parted = partDirections(passes.join(" "), "in-turn");
          if (!("right" in parted)) throw new Error(parted.fault);
          const [right, left] = [parted.right, parted.left].map((each) => each === "" ? [] : each.split(" "));
          expect(passes.map((_, i) => (i % 2 === 0 ? right : left)![i >> 1])).toEqual(passes);
          expect(right!.length + left!.length).toBe(passes.length);
        },
      ),
    );
  });
});

describe("joinPasses()", () => {
  test("joins columns with a pass each in order", () => {
    expect(joinPasses(["38", "x", "40"], undefined)).toMatchObject({ text: "38 x 40" });
    expect(joinPasses(["", "", ""], "silent")).toEqual({ text: "", notes: [] });
  });
  test("takes empty cells at the end as passes not made, and asks about those between", () => {
    expect(joinPasses(["38", "", ""], undefined)).toMatchObject({ text: "38" });
    expect(joinPasses(["38", "", "40"], undefined)).toHaveProperty("fault");
    expect(joinPasses(["38", "", "40"], "not-made")).toMatchObject({ text: "38 40" });
    expect(joinPasses(["38", "", "40", ""], "silent")).toMatchObject({ text: "38 x 40 x" });
  });
  test("refuses a cell with more than one number", () => {
    for (const cell of ["38 40", "38-42", "38x2", "deep"]) {
      expect(joinPasses(["38", cell], "silent")).toHaveProperty("fault");
    }
  });
});

test("passesIn() gives the passes of a cell, or null for what is no list of them", () => {
  expect(passesIn("38 x 40x2")).toEqual(["38", "x", "40", "40"]);
  for (const cell of ["38-42", "38 to 42", "deep", "", "38 - 42"]) expect(passesIn(cell)).toBe(null);
});
