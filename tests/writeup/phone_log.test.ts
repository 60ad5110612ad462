import { describe, expect, test } from "vitest";
import { FIELDS, loadDigLog, parseMachines } from "../../lib/log/mod.ts";
import { csvRows, parsePhoneFile } from "../../lib/writeup/phone_import.ts";
import {
  applyPatch,
  exportColumns,
  exportRows,
  numberFault,
  phoneCsv,
  phoneJson,
  type PhoneLog,
  type PhoneOuting,
  type PhoneSignal,
  standingSignals,
} from "../../lib/writeup/phone_log.ts";

const root = Deno.env.get("OVERIRON_ROOT") ?? Deno.cwd();
const outing = (change: Partial<PhoneOuting> = {}): PhoneOuting => ({
  id: "a",
  values: { site: "K7", settings: "A-open", date: "2026-05-02", holes_filled: "1", check_start: "412 " },
  ended: true,
  deleted: false,
  revision: 1,
  ...change,
});
const signal = (number: number, change: Partial<PhoneSignal> = {}): PhoneSignal => ({
  id: `a-0${number}`,
  outing: "a",
  number,
  values: { readings_right: "412 . ", readings_left: "22-38-", dug: "no" },
  finds: [],
  deleted: false,
  revision: 1,
  ...change,
});
const log: PhoneLog = {
  outings: [outing()],
  signals: [
    signal(2, {
      values: {
        readings_right: "90",
        dug: "yes",
        result: "found",
        notes: 'rain, "low"\nend',
        latitude: "12.5",
        longitude: "-45.5",
      },
      finds: [{ metal: "non-ferrous", keep: "yes", depth_cm: "12." }, { metal: "ferrous", keep: "no" }],
    }),
    signal(1),
    signal(3, { deleted: true }),
  ],
};

describe("applyPatch()", () => {
  test("changes one place, takes it away again, and leaves the record as it was", () => {
    const before = Object.freeze(signal(1, { values: Object.freeze({ dug: "no" }) }));
    const next = applyPatch(before, { path: ["values", "both_ways"], value: "yes" });
    expect(next.values).toEqual({ dug: "no", both_ways: "yes" });
    expect(applyPatch(next, { path: ["values", "both_ways"], value: "" }).values).toEqual({ dug: "no" });
    expect(before.values).toEqual({ dug: "no" });
    expect(applyPatch(before, { path: ["deleted"], value: true }).deleted).toBe(true);
  });
  test("finds grow as they are written to, and empty ones at the end fall away", () => {
    const two = applyPatch(signal(1), { path: ["finds", 1, "metal"], value: "ferrous" });
    expect(two.finds).toEqual([{}, { metal: "ferrous" }]);
    expect(applyPatch(two, { path: ["finds", 1, "metal"], value: null }).finds).toEqual([]);
  });
  test("two changes of different places give the same in either order", () => {
    const one = { path: ["values", "dug"], value: "yes" },
      other = { path: ["finds", 0, "keep"], value: "no" };
    expect(applyPatch(applyPatch(signal(1), one), other)).toEqual(
      applyPatch(applyPatch(signal(1), other), one),
    );
  });
});

describe("the export", () => {
  test("has the schema's columns in its order, coordinates only where asked for, finds numbered from the second on", () => {
    const bare = exportColumns({ outings: [], signals: [] });
    const names = (table: "outing" | "signal" | "find", without: string[]) =>
      FIELDS[table].map(({ name }) => name).filter((name) => !without.includes(name));
    expect(bare).toEqual([
      "signal_id",
      ...names("outing", []),
      ...names("signal", ["signal_id", "outing_id", "latitude", "longitude"]),
      ...names("find", ["hole_id", "order"]),
    ]);
    expect(bare).toContain("holes_filled");
    const wide = exportColumns(log, { coordinates: true });
    expect(wide).toContain("latitude");
    expect(wide.at(-1)).toBe(`${bare.at(-1)}_2`);
    expect(new Set(wide).size).toBe(wide.length);
  });
  test("leaves deleted signals and signals of deleted outings out, and stands in the order met", () => {
    expect(standingSignals(log).map(({ signal: { number } }) => number)).toEqual([1, 2]);
    expect(standingSignals({ ...log, outings: [outing({ deleted: true })] })).toEqual([]);
  });
  test("is written as typed, but for what was begun and not finished", () => {
    const columns = exportColumns(log);
    const at = (row: string[], name: string) => row[columns.indexOf(name)];
    const [one, two] = exportRows(log, columns) as [string[], string[]];
    expect(at(one, "readings_right")).toBe("412 .");
    expect(at(one, "readings_left")).toBe("22-38");
    expect(at(one, "check_start")).toBe("412");
    expect(at(two, "depth_cm")).toBe("12");
    expect(at(two, "notes")).toBe('rain, "low"\nend');
    expect(at(two, "metal_2")).toBe("ferrous");
    expect(phoneCsv(log)).not.toContain("12.5");
    expect(phoneJson(log)).not.toContain("45.5");
    expect(phoneCsv(log, { coordinates: true })).toContain("12.5");
  });
  test("CSV and JSON hold the same, and read back give what was there", () => {
    const csv = phoneCsv(log), json = phoneJson(log);
    const [headings, ...rows] = csvRows(csv);
    const own = JSON.parse(json) as { count: number; signals: Record<string, string | null>[] };
    expect(own.count).toBe(2);
    expect(rows.map((row) => Object.fromEntries(headings!.map((name, j) => [name, row[j] || null])))).toEqual(
      own.signals,
    );
    expect(csv.split("\r\n").at(-1)).toBe("");
    expect(parsePhoneFile(csv).signals).toEqual(parsePhoneFile(json).signals);
  });
  test("is loaded by the kit without a mapping, the holes filled too", async () => {
    const machines = parseMachines(await Deno.readTextFile(`${root}/datasets/demo/machines.json`));
    for (const [name, text] of [["log.csv", phoneCsv(log)], ["log.json", phoneJson(log)]] as const) {
      const { season, report } = await loadDigLog({ name, bytes: new TextEncoder().encode(text) }, machines);
      expect(report.rejected).toEqual([]);
      expect(report.ignored).toEqual([]);
      expect(season.outings![0]!.holes_filled).toBe(1);
      expect(season.signals.map(({ finds }) => finds.length)).toEqual([0, 2]);
      expect(season.signals[1]!.finds[0]!.depth_cm).toBe(12);
    }
  });
  test("an empty phone gives headings alone", () => {
    expect(phoneCsv({ outings: [], signals: [] }).split("\r\n")).toHaveLength(2);
    expect(JSON.parse(phoneJson({ outings: [], signals: [] }))).toMatchObject({ count: 0, signals: [] });
  });
});

describe("numberFault()", () => {
  test.each([
    ["coil_height_cm", "12.", null],
    ["coil_height_cm", "500", "must be 0 to 100"],
    ["coil_height_cm", "low", "must be a number"],
    ["holes_filled", "2.5", "must be a whole number"],
    ["holes_filled", "2", null],
    ["depth_cm_2", "-1", /^must be 0 to/],
    ["balance", "-", null],
    ["site", "K7", null],
    ["coil_height_cm", "", null],
  ])("%s %j: %s", (name, text, fault) => {
    if (fault instanceof RegExp) expect(numberFault(name, text)).toMatch(fault);
    else expect(numberFault(name, text)).toBe(fault);
  });
});
