import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  convertLength,
  type ConvertLengthOptions,
  convertNumber,
  NUMBER_NOTES,
  plainNumber,
  unitInHeading,
} from "../../lib/log/mapping_numbers.ts";

const length = (cell: string, options: ConvertLengthOptions = {}, target: "cm" | "mm" = "cm"): string => {
  const made = convertLength(cell, target, options);
  return "text" in made ? made.text : `fault: ${made.fault}`;
};

describe("convertLength() converts by the exact factors", () => {
  // NIST Special Publication 811 (2008), B.8: inch 2.54 cm, foot 30.48 cm, both exact.
  test("a number alone is in the column's unit", () => {
    expect(length("4", { unit: "in" })).toBe("10.16");
    expect(length("1", { unit: "ft" })).toBe("30.48");
    expect(length("45", { unit: "mm" })).toBe("4.5");
    expect(length("0.3", { unit: "m" })).toBe("30");
    expect(length("4")).toBe("4");
    expect(length("4", { unit: "in" }, "mm")).toBe("101.6");
  });
  test("a unit beside it comes first", () => {
    for (
      const cell of ["4in", '4"', "4 inches", "4''", "4 Zoll", "4 in.", "4\u2033", "4 pulgadas", "4\u00a0in"]
    ) {
      expect(length(cell, { unit: "cm" })).toBe("10.16");
    }
    expect(length("12 cm", { unit: "in" })).toBe("12");
    expect(length("120mm", { unit: "in" })).toBe("12");
    expect(length("1'", { unit: "cm" })).toBe("30.48");
  });
  test("feet and inches, and fractions", () => {
    expect(length("1' 4\"")).toBe("40.64");
    expect(length("1 ft 4 in")).toBe("40.64");
    expect(length("4 1/2 in")).toBe("11.43");
    expect(length('4½"')).toBe("11.43");
    expect(length("½ in")).toBe("1.27");
    expect(length("3/4", { unit: "in" })).toBe("1.905");
    expect(length("1/0 in")).toMatch(/^fault/);
  });
  test("a decimal comma only where the mapping says so", () => {
    expect(length("4,5", { unit: "in", decimal: "comma" })).toBe("11.43");
    expect(length("12,5 cm", { decimal: "comma" })).toBe("12.5");
    expect(length("4,5", { unit: "in" })).toBe(
      "fault: must be one length with a decimal point, as the mapping says of this column",
    );
    expect(length("4.5", { unit: "in", decimal: "comma" })).toMatch(
      /^fault: must be one length with a decimal comma/,
    );
    expect(length("1.234,5", { decimal: "comma" })).toMatch(/^fault/);
  });
  test("two numbers, where the mapping says which", () => {
    expect(length("4-6 in")).toBe("4-6 in");
    expect(length("4-6 in", { range: "middle" })).toBe("12.7");
    expect(length("4in - 6in", { range: "low" })).toBe("10.16");
    expect(length("4 to 6", { unit: "in", range: "high" })).toBe("15.24");
    expect(length("4,5\u20135,5", { decimal: "comma", range: "middle" })).toBe("5");
    expect(length("6-4", { range: "middle" })).toBe("6-4");
    expect(length("4 1/2 in", { range: "low" })).toBe("11.43");
    expect(length("-4", { range: "low" })).toBe("-4");
    expect(convertLength("4-6", "cm", { range: "high" })).toMatchObject({
      notes: ["Of a length from one number to another the greater was taken, as the mapping says"],
    });
  });
  test("anything else is left for the field's own rule", () => {
    for (const cell of ["deep", "4-6 in", "about 4", "", "4 spades"]) {
      expect(length(cell, { unit: "in" })).toBe(cell);
    }
  });
  test("what was taken for granted is told", () => {
    expect(convertLength("4,5", "cm", { unit: "in", decimal: "comma" })).toEqual({
      text: "11.43",
      notes: [NUMBER_NOTES.comma, "A number in inches was converted to centimetres"],
    });
    expect(convertLength("12", "cm", {})).toEqual({ text: "12", notes: [] });
  });
});

test("convertLength() and back is the same number, whatever the unit", () => {
  const factors = { mm: 0.1, cm: 1, m: 100, in: 2.54, ft: 30.48 } as const;
  fc.assert(fc.property(
    fc.integer({ min: 0, max: 100_000 }),
    fc.constantFrom(...Object.keys(factors) as (keyof typeof factors)[]),
    fc.boolean(),
    (hundredths, unit, own) => {
      const value = hundredths / 100;
      const made = length(own ? `${value} ${unit}` : String(value), own ? { unit: "cm" } : { unit });
      expect(made).toMatch(/^\d+(?:\.\d+)?$/);
      expect(Number(made) / factors[unit]).toBeCloseTo(value, 9);
    },
  ));
});

test("convertNumber() puts a point for a decimal comma, and refuses what could part thousands", () => {
  expect(convertNumber("1,5", "comma")).toEqual({ text: "1.5", notes: [NUMBER_NOTES.comma] });
  expect(convertNumber("-0,25", "comma")).toMatchObject({ text: "-0.25" });
  expect(convertNumber("\u22125", "comma")).toEqual({ text: "-5", notes: [] });
  expect(convertNumber("1.234", "comma")).toHaveProperty("fault");
  expect(convertNumber("1,234,5", "comma")).toHaveProperty("fault");
  expect(convertNumber("1,5")).toEqual({ text: "1,5", notes: [] });
});

test("plainNumber() writes no exponent and no tail of binary fractions", () => {
  expect(plainNumber(0.1 + 0.2)).toBe("0.3");
  expect(plainNumber(1e-9)).toBe("0.000000001");
  expect(plainNumber(12)).toBe("12");
});

test("unitInHeading() finds a unit at the end of a heading, and no unit inside a word", () => {
  expect(unitInHeading("Depth (in)")).toEqual({ unit: "in", rest: "Depth" });
  expect(unitInHeading("Tiefe [cm]")).toEqual({ unit: "cm", rest: "Tiefe" });
  expect(unitInHeading("depth_mm")).toEqual({ unit: "mm", rest: "depth" });
  expect(unitInHeading("Depth, inches")).toEqual({ unit: "in", rest: "Depth" });
  expect(unitInHeading("Tiefe in cm")).toEqual({ unit: "cm", rest: "Tiefe" });
  for (const heading of ["Margin", "cm", "Datum", "Dug", "Room"]) expect(unitInHeading(heading)).toBe(null);
});
