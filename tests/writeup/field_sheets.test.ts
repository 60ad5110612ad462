import { describe, expect, test } from "vitest";
import { FIELDS, loadDigLog, loadGardenLog, parseMachines } from "../../lib/log/mod.ts";
import { emptyLogs, fieldSheets, SMALLEST_COLUMNS } from "../../lib/writeup/field_sheets.ts";
import { cautionsUnder } from "../../lib/writeup/field_stop_rules.ts";

const root = Deno.env.get("OVERIRON_ROOT") ?? Deno.cwd();
const machines = parseMachines(await Deno.readTextFile(`${root}/datasets/demo/machines.json`));
const bytes = (text: string) => new TextEncoder().encode(text);

describe("fieldSheets()", () => {
  test("puts the stop rules above the first box, and in words on every sheet of signals", () => {
    const html = fieldSheets({ sheets: 2 });
    expect(html.indexOf("A fuzed shell")).toBeLessThan(html.indexOf('class="box"'));
    expect(html.match(/A fuzed shell can read\s+like a masked good find/g)).toHaveLength(2);
    for (const { lead } of cautionsUnder("Stop")) expect(html).toContain(lead);
  });
  test("has a box for each needed field, marked with a dot", () => {
    const html = fieldSheets({ sheets: 1 });
    const fields = SMALLEST_COLUMNS.filter((name) =>
      name !== "site" && name !== "settings" && name !== "result"
    );
    for (const name of fields) expect(html).toContain(`data-field="${name}"`);
  });
  test("the same call gives the same bytes", () => expect(fieldSheets()).toBe(fieldSheets()));
  test("refuses a number of sheets it cannot mean", () => {
    expect(() => fieldSheets({ sheets: 0 })).toThrow(RangeError);
    expect(() => fieldSheets({ sheets: 0 })).toThrow(
      "Cannot make sheets: their number must be 1 to 50, got 0",
    );
  });
});

describe("emptyLogs()", () => {
  test("has exactly the schema's columns, in its order", () => {
    const logs = emptyLogs();
    for (
      const [file, table] of [["outings", "outing"], ["signals", "signal"], ["finds", "find"], [
        "trials",
        "trial",
      ]] as const
    ) {
      expect(logs.get(`${file}.csv`)).toBe(`${FIELDS[table].map(({ name }) => name).join(",")}\n`);
    }
  });
  test("the smallest log, with one row written in, loads without a mapping and has an outcome", async () => {
    const row = "1,Hay wharf,A-open,412 415 x,408,yes,holds,shallow,yes,found,non-ferrous,yes\n";
    const text = emptyLogs().get("smallest-log.csv")! + row;
    const { season, report } = await loadDigLog({ name: "smallest-log.csv", bytes: bytes(text) }, machines);
    expect(report.rejected).toEqual([]);
    expect(season.signals[0]!.outcome.class).toBe("non-ferrous");
  });
  test("filled in, the three files are one dig log and the fourth a garden log", async () => {
    const fill = (file: string, values: Record<string, string>): Uint8Array => {
      const heading = emptyLogs().get(file)!;
      return bytes(heading + heading.trim().split(",").map((name) => values[name] ?? "").join(",") + "\n");
    };
    const { season, report } = await loadDigLog([
      {
        name: "signals.csv",
        bytes: fill("signals.csv", {
          signal_id: "7",
          outing_id: "a",
          readings_right: "410",
          readings_left: "x",
          dug: "yes",
        }),
      },
      {
        name: "outings.csv",
        bytes: fill("outings.csv", { outing_id: "a", site: "Hay wharf", settings: "A-open" }),
      },
      { name: "finds.csv", bytes: fill("finds.csv", { hole_id: "7", metal: "ferrous" }) },
    ], machines);
    expect(report.rejected).toEqual([]);
    expect(season.signals[0]!.outcome.class).toBe("ferrous");
    const trials = fill("trials.csv", {
      trial_id: "1",
      settings: "A-open",
      target: "disc",
      neighbour: "none",
      readings_right: "400",
    });
    const garden = await loadGardenLog({ name: "trials.csv", bytes: trials }, machines);
    expect(garden.report.rejected).toEqual([]);
  });
});
