import { describe, expect, test } from "vitest";
import { loadGardenLog, parseMachines, SUSPICIOUS_TRIALS as ODD } from "../../lib/log/mod.ts";
import { file, machines, oneMachine } from "./_helpers.ts";

type Row = Readonly<Record<string, string | number>>;

/** The flags of a garden log of rows given as objects; every row has an id and readings unless it says otherwise. */
async function flagsOf(rows: readonly Row[], known = oneMachine) {
  const filled = rows.map((row, i) => ({
    trial_id: `T${i}`,
    target: "disc",
    neighbour: "nail",
    gap_cm: 1 + i % 4,
    block: `B${i}`,
    readings_right: "300 310",
    readings_left: "305 302",
    ...row,
  }));
  const headings = [...new Set(filled.flatMap((row) => Object.keys(row)))];
  const text = [headings, ...filled.map((row) => headings.map((name) => (row as Row)[name] ?? ""))]
    .map((cells) => cells.map((cell) => `"${cell}"`).join(",")).join("\n");
  const { report } = await loadGardenLog(file(text, "garden.csv"), known);
  return new Map(report.flags.map((flag) => [flag.text, flag]));
}
const repeat = (count: number, make: (i: number) => Row): Row[] =>
  Array.from({ length: count }, (_, i) => make(i));
/** Trials that say what disc and nail read alone, so that nothing else is flagged. */
const alone: readonly Row[] = [
  { neighbour: "none", gap_cm: "", readings_right: "400 402", readings_left: "401 405" },
  { target: "none", gap_cm: "", readings_right: "90 95", readings_left: "88 91" },
];

describe("findSuspiciousTrials() flags, and leaves alone", () => {
  test("a garden with nothing odd", async () => {
    expect([...(await flagsOf([...alone, {}, {}])).keys()]).toEqual([]);
  });

  test("readings all equal, from six on, but for the ends of the scale", async () => {
    const equal = (reading: number, passes = 3): Row => {
      const cell = Array.from({ length: passes }, () => reading).join(" ");
      return { readings_right: cell, readings_left: cell };
    };
    const flags = await flagsOf([...alone, equal(300, 2), equal(300), equal(310, 4), equal(600), equal(0)]);
    expect(flags.get(ODD.allEqual)).toEqual({
      role: "garden-log",
      column: "readings_right",
      text: "All readings of a trial, six or more, are equal: was one number copied for every pass?",
      count: 2,
      first: { file: "garden.csv", line: 5, value: "300 300 300 | 300 300 300" },
    });
  });

  test("gaps and depths that are all round, from ten on and three lengths", async () => {
    const gaps = (gap: (i: number) => number, count = 10) =>
      flagsOf(repeat(count, (i) => ({ gap_cm: gap(i), clean_readings: 400, neighbour_readings: 90 })));
    expect((await gaps((i) => 5 * (i % 3))).get(ODD.roundGaps)?.count).toBe(10);
    expect((await gaps((i) => 5 * (i % 3), 9)).has(ODD.roundGaps)).toBe(false);
    expect((await gaps((i) => 5 * (i % 2))).has(ODD.roundGaps)).toBe(false);
    expect((await gaps((i) => i === 4 ? 7 : 5 * (i % 3))).has(ODD.roundGaps)).toBe(false);
    const depths = await flagsOf(repeat(12, (i) => ({ depth_cm: 5 * (1 + i % 3) })));
    expect(depths.get(ODD.roundDepths)?.first).toEqual({ file: "garden.csv", line: 2, value: "5" });
    expect(depths.has(ODD.roundGaps)).toBe(false);
  });

  test("two trials at one spot in one minute", async () => {
    const at = { spot: "bed 1", tried_at: "2025-03-08T08:15" };
    const flags = await flagsOf([
      ...alone,
      at,
      { ...at, tried_at: "2025-03-08T08:15:40" },
      { ...at, tried_at: "2025-03-08T08:16" },
      { ...at, spot: "bed 2" },
      { spot: "bed 3", tried_at: "2025-03-08" },
      { spot: "bed 3", tried_at: "2025-03-08" },
    ]);
    expect(flags.get(ODD.sameMinute)?.count).toBe(1);
    expect(flags.get(ODD.sameMinute)?.first).toEqual({
      file: "garden.csv",
      line: 5,
      value: "2025-03-08T08:15",
    });
  });

  test("one run_order twice in a block and day, but not over blocks, days or machines", async () => {
    const first = { block: "B", tried_at: "2025-03-08", run_order: 7, machine: "Machine A" };
    const flags = await flagsOf([
      { ...first, readings_right: "300 301" },
      { ...first, block: "C" },
      { ...first, tried_at: "2025-03-09" },
      { ...first, machine: "Machine B", readings_right: "5 10", readings_left: "10 15" },
      { ...first, run_order: 8 },
    ], machines);
    expect(flags.has(ODD.sameOrder)).toBe(false);
    expect((await flagsOf([first, first, first], machines)).get(ODD.sameOrder)).toMatchObject({
      count: 2,
      first: { line: 3, value: "7" },
    });
  });

  test("a target or a neighbour that was never read alone", async () => {
    const flags = await flagsOf([{}, { clean_readings: "400" }, { target: "ball" }, {}]);
    expect(flags.get(ODD.noClean)).toMatchObject({ count: 1, first: { line: 4, value: "ball" } });
    expect(flags.get(ODD.noNeighbour)?.count).toBe(4);
    // A target alone at another depth says nothing of this one.
    const deeper = await flagsOf([...alone, { depth_cm: 10 }]);
    expect(deeper.get(ODD.noClean)?.count).toBe(1);
    expect(deeper.has(ODD.noNeighbour)).toBe(false);
  });

  test("a target that reads lower alone than its neighbour, once a pair", async () => {
    const flags = await flagsOf([
      { clean_readings: "90 92", neighbour_readings: "400 405" },
      {},
      { neighbour: "ring" },
      { target: "none", neighbour: "ring", gap_cm: "", readings_right: "50 51", readings_left: "52" },
    ]);
    expect(flags.get(ODD.cleanBelow)).toMatchObject({ count: 1, first: { line: 2, value: "91 and 402.5" } });
  });

  test("passes that grow with the reading, from thirty trials on", async () => {
    const grown = (count: number, passes: (i: number) => number) =>
      flagsOf(repeat(count, (i) => {
        const cell = Array.from({ length: passes(i) }, (_, k) => 100 + 10 * i + k % 2).join(" ");
        return { readings_right: cell, readings_left: cell };
      }));
    expect((await grown(30, (i) => 2 + Math.floor(i / 5))).get(ODD.passesGrow)).toMatchObject({ count: 1 });
    expect((await grown(29, (i) => 2 + Math.floor(i / 5))).has(ODD.passesGrow)).toBe(false);
    expect((await grown(30, (i) => 2 + i % 5)).has(ODD.passesGrow)).toBe(false);
    expect((await grown(30, (i) => 8 - Math.floor(i / 5))).has(ODD.passesGrow)).toBe(false);
  });

  test("one name with two sizes, and a gap where nothing lies together", async () => {
    const flags = await flagsOf([
      ...alone,
      { target_size_mm: 24, neighbour_length_mm: 60 },
      { target_size_mm: 25, neighbour_length_mm: 60 },
      { neighbour: "none", gap_cm: 3 },
    ]);
    expect(flags.get(ODD.twoSizes)).toMatchObject({
      column: "target_size_mm",
      count: 1,
      first: { line: 5, value: "24 and 25" },
    });
    expect(flags.get(ODD.loneGap)).toMatchObject({ count: 1, first: { line: 6, value: "3" } });
  });

  test("the demo garden for nothing but two trials of a scale in fives", async () => {
    const demo = new URL("../../datasets/demo/", import.meta.url);
    const { report } = await loadGardenLog(
      { name: "garden-log.csv", bytes: Deno.readFileSync(new URL("garden-log.csv", demo)) },
      parseMachines(Deno.readTextFileSync(new URL("machines.json", demo))),
    );
    expect(report.flags.map(({ text, count }) => [text, count])).toEqual([[ODD.allEqual, 2]]);
  });
});
