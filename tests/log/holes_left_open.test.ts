import { describe, expect, test } from "vitest";
import {
  dataDictionary,
  holesLeftOpen,
  loadDigLog,
  type MachinesFile,
  type Outing,
  parseMachines,
  type Signal,
  SUSPICIOUS,
} from "../../lib/log/mod.ts";

const root = Deno.env.get("OVERIRON_ROOT") ?? Deno.cwd();
const machines: MachinesFile = parseMachines(
  await Deno.readTextFile(`${root}/datasets/demo/machines.json`),
);
const bytes = (text: string) => new TextEncoder().encode(text);

describe("holesLeftOpen()", () => {
  const outing = (outing_id: string, holes_filled?: number | null) =>
    ({ outing_id, ...(holes_filled === undefined ? {} : { holes_filled }) }) as Outing;
  const signal = (signal_id: string, outing_id: string, dug: Signal["dug"], hole_id?: string) =>
    ({ signal_id, outing_id, dug, ...(hole_id === undefined ? {} : { hole_id }) }) as Signal;
  test("counts holes dug, once each, and not those stopped or never begun", () => {
    const signals = [
      signal("1", "a", "yes", "h"),
      signal("2", "a", "yes", "h"),
      signal("3", "a", "yes"),
      signal("4", "a", "stopped"),
      signal("5", "a", "no"),
      signal("6", "b", "yes"),
      signal("7", "c", "yes"),
    ];
    const outings = [outing("a", 1), outing("b", null), outing("c"), outing("d", 0)];
    outings.forEach((each) => Object.freeze(each));
    signals.forEach((each) => Object.freeze(each));
    expect(holesLeftOpen(outings, signals)).toEqual([
      { outing_id: "a", dug: 2, stopped: 1, filled: 1, open: 1 },
      { outing_id: "b", dug: 1, stopped: 0, filled: null, open: 0 },
      { outing_id: "c", dug: 1, stopped: 0, filled: null, open: 0 },
      { outing_id: "d", dug: 0, stopped: 0, filled: 0, open: 0 },
    ]);
    expect(holesLeftOpen([outing("a", 3)], signals)[0]!.open).toBe(0);
    expect(holesLeftOpen([], [])).toEqual([]);
  });
});

describe("a log with holes_filled", () => {
  const head = "signal_id,outing_id,site,settings,holes_filled,readings_right,readings_left,dug\n";
  const rows = (filled: string) =>
    `1,o1,K7,A-open,${filled},410,412,yes\n2,o1,K7,A-open,${filled},90,95,yes\n3,o1,K7,A-open,${filled},300,310,no\n`;
  const load = (text: string) => loadDigLog({ name: "log.csv", bytes: bytes(text) }, machines);
  test("is read flat, and asked about where fewer were filled than dug", async () => {
    const short = await load(head + rows("1"));
    expect(short.season.outings![0]!.holes_filled).toBe(1);
    const flag = short.report.flags.find(({ text }) => text === SUSPICIOUS.holesOpen);
    expect(flag).toMatchObject({ column: "holes_filled", count: 1 });
    expect(flag!.first).toMatchObject({ line: 2, value: "1 filled, 2 dug" });
    const even = await load(head + rows("2"));
    expect(even.report.flags.some(({ text }) => text === SUSPICIOUS.holesOpen)).toBe(false);
    const untold = await load(head + rows(""));
    expect(untold.season.outings![0]!.holes_filled).toBeNull();
    expect(untold.report.flags.some(({ text }) => text === SUSPICIOUS.holesOpen)).toBe(false);
  });
  test("is read from a table of outings, and a count that is none is refused by line", async () => {
    const outings = "outing_id,site,settings,holes_filled\no1,K7,A-open,1\n";
    const signals =
      "signal_id,outing_id,readings_right,readings_left,dug\n1,o1,410,412,yes\n2,o1,90,95,yes\n";
    const { season, report } = await loadDigLog([
      { name: "signals.csv", bytes: bytes(signals) },
      { name: "outings.csv", bytes: bytes(outings) },
    ], machines);
    expect(season.outings![0]!.holes_filled).toBe(1);
    expect(report.flags.some(({ text }) => text === SUSPICIOUS.holesOpen)).toBe(true);
    const bad = await load(head + rows("2") + "4,o1,K7,A-open,1.5,20,30,no\n");
    expect(bad.report.rejected.map(({ faults }) => faults[0])).toMatchObject([
      { line: 5, column: "holes_filled", rule: expect.stringContaining("whole number") },
    ]);
  });
  test("is in the data dictionary, known after the hole", () => {
    expect(dataDictionary()).toMatch(/\| `holes_filled` \| whole number, 0 to 1000 \| holes \| after \|/);
  });
});
