import { describe, expect, test } from "vitest";
import { armOf, armsOf, bandedScheme, schemeFor } from "../../lib/tones/_arms.ts";
import { four, machineA, machineB, signal } from "./_log_rows.ts";

describe("armsOf()", () => {
  const rows = [
    signal("1", { machine: "Machine B" }),
    signal("2"),
    signal("3", { discrimination: "iron-silenced" }),
    signal("4"),
  ];
  test("splits by machine and discrimination, in code-unit order, rows in the order given", () => {
    const arms = armsOf([machineB, machineA], rows);
    expect(arms.map(armOf)).toEqual([
      { machine: "Machine A", discrimination: "iron-silenced" },
      { machine: "Machine A", discrimination: "none" },
      { machine: "Machine B", discrimination: "none" },
    ]);
    expect(arms.map((arm) => arm.rows.map(({ signal_id }) => signal_id))).toEqual([["3"], ["2", "4"], ["1"]]);
    expect(armsOf([machineA], [])).toEqual([]);
  });
  test("refuses a machine that is not in the list", () => {
    expect(() => armsOf([machineA], rows)).toThrow(
      new RangeError('Cannot give bands: machine must be in the machines list, got "Machine B"'),
    );
  });
});

describe("bandedScheme() and schemeFor()", () => {
  const slide = { name: "slide", kind: "sliding" as const, breaks: [], bands: four.bands.slice(0, 2) };
  test("tell a sliding pitch without a break apart at the iron break, and leave others alone", () => {
    expect(bandedScheme(slide, 210).breaks).toEqual([210]);
    expect(bandedScheme({ ...slide, breaks: [300] }, 210).breaks).toEqual([300]);
    expect(bandedScheme(four, 210)).toBe(four);
  });
  test("take the scheme named for the machine, else its own", () => {
    expect(schemeFor(machineA, undefined)).toBe(four);
    expect(schemeFor(machineA, { "Machine B": slide })).toBe(four);
    expect(schemeFor(machineA, { "Machine A": slide })).toMatchObject({ name: "slide", breaks: [210] });
  });
});
