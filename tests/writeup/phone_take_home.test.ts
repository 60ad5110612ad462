import { describe, expect, test } from "vitest";
import { loadDigLog, parseMachines, readTable } from "../../lib/log/mod.ts";
import { dayInFiveLines, joinExport } from "../../lib/writeup/phone_take_home.ts";

const table = (text: string, name = "a.csv") => readTable({ name, bytes: new TextEncoder().encode(text) });
const root = Deno.env.get("OVERIRON_ROOT") ?? Deno.cwd();

describe("joinExport()", () => {
  const season =
    "signal_id,site,date,readings_right,readings_left,dug\n1,K7,2026-05-01,410,400,yes\n2,K7,2026-05-01,90,95,\n";
  test("adds new signals under their ids, takes doubles once, shows what changed, and never wipes a cell out", async () => {
    const day =
      "signal_id,site,date,readings_right,readings_left,dug,metal\n1,K7,2026-05-01,410,,yes,\n2,K7,2026-05-01,99,95,no,\n" +
      "3,K7,2026-05-01,410,400,yes,ferrous\n";
    const joined = joinExport(await table(season), await table(day));
    expect(joined.added).toEqual(["3"]);
    expect(joined.same).toEqual(["1"]);
    expect(joined.changed).toEqual([
      { signal: "2", field: "readings_right", before: "90", after: "99" },
      { signal: "2", field: "dug", before: "", after: "no" },
    ]);
    expect(joined.alike).toEqual([["1", "3"]]);
    expect(joined.text).toBe(
      "signal_id,site,date,readings_right,readings_left,dug,metal\n1,K7,2026-05-01,410,400,yes,\n2,K7,2026-05-01,99,95,no,\n3,K7,2026-05-01,410,400,yes,ferrous\n",
    );
    // Joined once more nothing is new.
    const again = joinExport(await table(joined.text), await table(day));
    expect([again.added, again.changed]).toEqual([[], []]);
    expect(again.text).toBe(joined.text);
  });
  test("takes headings that differ in capitals for the same field, and keeps the season's own", async () => {
    // It once gave both "Signal_ID" and "signal_id", told the id as changed, and the joined log could not be loaded.
    const joined = joinExport(
      await table("Signal_ID,Site,Dug\n1,K7,\n"),
      await table("signal_id,site,dug,metal\n1,K7,yes,\n2,K7,no,ferrous\n"),
    );
    expect(joined.text).toBe("Signal_ID,Site,Dug,metal\n1,K7,yes,\n2,K7,no,ferrous\n");
    expect(joined.changed).toEqual([{ signal: "1", field: "Dug", before: "", after: "yes" }]);
    expect(joined.added).toEqual(["2"]);
  });
  test("carries broken rows and a second row of one id in the season's log along as they stand", async () => {
    const broken = season + "2,K7,2026-05-01,91,95,\n7,K7\n";
    const joined = joinExport(await table(broken), await table("signal_id,site,dug\n2,K7,no\n"));
    expect(joined.changed).toHaveLength(1);
    expect(joined.text).toBe(season.replace("90,95,", "90,95,no") + "2,K7,2026-05-01,91,95,\n7,K7\n");
  });
  test("refuses a cut row, an id twice, and a table without ids", async () => {
    const good = await table(season);
    const fault = async (text: string): Promise<string> => {
      try {
        joinExport(good, await table(text, "day.csv"));
      } catch (error) {
        return (error as Error).message;
      }
      return "none";
    };
    expect(await fault("signal_id,site,dug\n5,K7,yes\n6,K")).toMatch(/day\.csv, line 3: a row must be whole/);
    expect(await fault("signal_id,site\n5,K7\n5,K7\n")).toMatch(/got "5" twice/);
    expect(await fault("number,site\n5,K7\n")).toMatch(/must have a column signal_id/);
  });
});

describe("dayInFiveLines()", () => {
  test("counts the day and the season by hand", async () => {
    const machines = parseMachines(await Deno.readTextFile(`${root}/datasets/demo/machines.json`));
    const text =
      "signal_id,site,settings,readings_right,readings_left,my_call,rule_said,dug,result,metal,keep\n" +
      "1,K7,A-open,410,400,good,leave,yes,found,non-ferrous,yes\n2,K7,A-open,90,95,good,leave,yes,found,ferrous,no\n" +
      "3,K7,A-open,90,95,iron,dig,yes,found,ferrous,no\n4,K7,A-open,300,310,good,dig,no,,,\n";
    const { season } = await loadDigLog({ name: "a.csv", bytes: new TextEncoder().encode(text) }, machines);
    const lines = dayInFiveLines(season.signals, new Set(["2", "3", "4"]));
    expect(lines).toHaveLength(5);
    expect(lines[0]).toBe("Today: 3 signals, 2 holes, 0 masked good; no good find in 2 holes.");
    expect(lines[1]).toContain("3.0 holes for one good find (1 in 3 holes)");
    // Signal 2: good called, iron came (the rule right); signal 3: iron called, iron came (the call right).
    expect(lines[2]).toBe(
      "Own call against rule, on 2 dug signals with a known outcome: you were right 1 times, the rule 1; you differed on 2.",
    );
    expect(lines[4]).toBe("Look at next: signals left in the ground though you or the rule said good: 4.");
  });
  test("tells at which worth of a good find the rule spoke, where its version says so", async () => {
    const machines = parseMachines(await Deno.readTextFile(`${root}/datasets/demo/machines.json`));
    const line = async (...versions: string[]) => {
      const text =
        "signal_id,site,settings,readings_right,readings_left,my_call,rule_said,rule_version,dug,result,metal,keep\n" +
        versions.map((version, i) =>
          `${i},K7,A-open,410,40${i},good,dig,${version},yes,found,non-ferrous,yes\n`
        ).join("");
      const { season } = await loadDigLog({ name: "a.csv", bytes: new TextEncoder().encode(text) }, machines);
      return dayInFiveLines(season.signals, new Set(versions.map((_, i) => String(i))))[2];
    };
    expect(await line("r0123456789-w5", "r0123456789-w5")).toContain(
      "the rule 2 (a good find worth 5 holes); you",
    );
    expect(await line("r0123456789-w10", "r0123456789-w5")).toContain("(a good find worth 5 or 10 holes)");
    expect(await line("mine", "r0123456789")).toContain("the rule 2; you");
  });
});
