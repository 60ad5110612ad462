import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { phoneCsv, phoneJson, type PhoneLog, type PhoneSignal } from "../../lib/writeup/phone_log.ts";
import { exists, filesOf, root } from "./_season.ts";
import { runTask } from "./_run_task.ts";

let room = "";
const SEASON =
  "signal_id,outing_id,site,date,settings,readings_right,readings_left,my_call,dug,result,metal,keep\n" +
  "20260501-a-01,20260501-a,K7,2026-05-01,A-open,410,400,good,yes,found,non-ferrous,yes\n" +
  "20260501-a-02,20260501-a,K7,2026-05-01,A-open,90,95,iron,,,,\n";

const signal = (
  outing: string,
  number: number,
  values: Record<string, string>,
  find: Record<string, string> | null = null,
): PhoneSignal => ({
  id: `${outing}-0${number}`,
  outing,
  number,
  values,
  finds: find === null ? [] : [find],
  deleted: false,
  revision: 1,
});
const outing = (id: string, values: Record<string, string>) => ({
  id,
  values: { site: "K7", settings: "A-open", ...values },
  ended: true,
  deleted: false,
  revision: 1,
});
const [good, iron] = [{ metal: "non-ferrous", keep: "yes", readings_alone: "405" }, {
  metal: "ferrous",
  keep: "no",
}];
const both = { my_call: "good", rule_said: "leave", rule_version: "r0123456789-w5" };
const dug = { dug: "yes", result: "found" };
/** The second signal of the earlier day was dug after all; the new day has four signals, one of them a double. */
const DAY: PhoneLog = {
  outings: [
    outing("20260501-a", { date: "2026-05-01" }),
    outing("20260502-b", { date: "2026-05-02", holes_filled: "2" }),
  ],
  signals: [
    signal("20260501-a", 2, { readings_right: "92", readings_left: "95", my_call: "iron", ...dug }, iron),
    signal("20260502-b", 1, { readings_right: "300", readings_left: "310", ...both, ...dug }, good),
    signal("20260502-b", 2, { readings_right: "88 .", readings_left: "91", ...both, ...dug }, iron),
    signal("20260502-b", 3, { readings_right: "350", readings_left: "340", ...both, dug: "no" }),
    signal("20260502-b", 4, { readings_right: "95", readings_left: "99", ...dug }, iron),
    signal("20260502-b", 5, { readings_right: "410", readings_left: "400", dug: "no" }),
  ],
};
const NAME = "dig-log-2026-05-02-6-signals";

beforeAll(async () => {
  room = await Deno.makeTempDir();
  await Deno.copyFile(`${root}/datasets/demo/machines.json`, `${room}/machines.json`);
  await Deno.writeTextFile(`${room}/season.csv`, SEASON);
  await Deno.writeTextFile(`${room}/${NAME}.csv`, phoneCsv(DAY));
  await Deno.writeTextFile(`${room}/${NAME}.json`, phoneJson(DAY));
});
afterAll(() => Deno.remove(room, { recursive: true }));

const takeHome = (...args: string[]) => runTask("take-home", room, args);

describe("take-home", () => {
  test("joins a day to the season under its ids, shows what changed, and says in five lines what the day taught", async () => {
    const { code, stdout, stderr } = await takeHome(`${NAME}.csv`, "--log", "season.csv");
    expect(stderr).toContain("5 new signals, 0 that were there already, 1 changed.");
    for (
      const [field, before, after] of [["readings_right", "90", "92"], ["dug", "", "yes"], [
        "metal",
        "",
        "ferrous",
      ]]
    ) {
      expect(stderr).toContain(
        `  20260501-a-02, ${field}: ${JSON.stringify(before)} is now ${JSON.stringify(after)}`,
      );
    }
    expect(code).toBe(0);
    // By hand: 4 holes on the phone, 1 good find in them, which read 405 alone and 305 in the ground; 2 dug signals have a call and a rule's word; one call was right, one rule.
    const lines = stdout.trimEnd().split("\n");
    expect(lines).toHaveLength(5);
    expect(lines[0]).toMatch(
      /^Today: 6 signals, 4 holes, 1 masked good; 4\.0 holes for one good find \(1 in 4 holes\)/,
    );
    expect(lines[0]).toMatch(/interval|no interval/);
    expect(lines[1]).toMatch(/^Season so far: 2\.5 holes for one good find \(2 in 5 holes\)/);
    expect(lines[2]).toBe(
      "Own call against rule, on 2 dug signals with a known outcome: you were right 1 times, the rule 1 (a good find worth 5 holes); you differed on 2.",
    );
    expect(lines[3]).toBe(
      "Unfinished: 1 of 3 holes not filled (1 of 2 outings do not say), 0 holes of unknown outcome, 0 of 1 good finds not read alone.",
    );
    expect(lines[4]).toBe(
      "Look at next: signals left in the ground though you or the rule said good: 20260502-b-03.",
    );
    expect(await Deno.readTextFile(`${room}/season.csv`)).toBe(SEASON);
    const joined = await Deno.readTextFile(`${room}/season-joined.csv`);
    expect(joined.split("\n").slice(1, -1).map((line) => line.split(",")[0])).toEqual([
      "20260501-a-01",
      "20260501-a-02",
      ...[1, 2, 3, 4, 5].map((n) => `20260502-b-0${n}`),
    ]);
    expect(joined.split("\n")[0]).toContain("holes_filled");
  });

  test("the JSON of the same phone joins to the same log, and a day joined twice adds nothing", async () => {
    const json = await takeHome(`${NAME}.json`, "--log", "season.csv", "--out", "from-json.csv");
    expect(json.code).toBe(0);
    const csv = await takeHome(`${NAME}.csv`, "--log", "season.csv", "--out", "from-csv.csv");
    expect(json.stdout).toBe(csv.stdout);
    expect(await Deno.readTextFile(`${room}/from-json.csv`)).toBe(
      await Deno.readTextFile(`${room}/from-csv.csv`),
    );
    const again = await takeHome(`${NAME}.csv`, "--log", "from-csv.csv", "--out", "again.csv");
    expect(again.stderr).toContain("0 new signals, 6 that were there already, 0 changed.");
    expect(await Deno.readTextFile(`${room}/again.csv`)).toBe(
      await Deno.readTextFile(`${room}/from-csv.csv`),
    );
  });

  test("asks about a signal that may be written down twice under another id", async () => {
    const twin = phoneCsv(DAY).split("\r\n");
    const text = [
      twin[0],
      twin[2]!.replaceAll("20260502-b", "20260503-c").replaceAll("2026-05-02", "2026-05-01")
        .replace(",300,310,", ",410,400,"),
      "",
    ].join("\r\n");
    await Deno.writeTextFile(`${room}/twin.csv`, text);
    const { code, stderr } = await takeHome("twin.csv", "--log", "season.csv", "--out", "twins.csv");
    expect(code).toBe(0);
    expect(stderr).toContain(
      "  20260501-a-01 and 20260503-c-01 have one site, day and readings: one signal, written down twice?",
    );
  });

  const refused = async (...args: string[]): Promise<string> => {
    const before = filesOf(room);
    const { code, stdout, stderr } = await takeHome(...args);
    expect(code, stderr).toBe(1);
    expect(stdout).toBe("");
    expect(filesOf(room)).toEqual(before);
    return stderr;
  };

  test("refuses a file cut anywhere, and writes nothing", async () => {
    const csv = phoneCsv(DAY), rows = csv.split("\r\n");
    // Cut between two rows, inside a row, inside the JSON: a browser names a second download "(1)".
    await Deno.writeTextFile(`${room}/${NAME} (1).csv`, rows.slice(0, 4).join("\r\n") + "\r\n");
    await Deno.writeTextFile(`${room}/${NAME} (2).csv`, csv.slice(0, Math.floor(csv.length * 0.8)));
    await Deno.writeTextFile(`${room}/half.csv`, csv.slice(0, Math.floor(csv.length * 0.8)));
    await Deno.writeTextFile(`${room}/half.json`, phoneJson(DAY).slice(0, 900));
    expect(await refused(`${NAME} (1).csv`, "--log", "season.csv", "--out", "x.csv")).toContain(
      "its name says 6 signals, but it holds 3: it was cut off. Nothing was written; save it again on the phone",
    );
    expect(await refused(`${NAME} (2).csv`, "--log", "season.csv", "--out", "x.csv")).toMatch(/cut/);
    expect(await refused("half.csv", "--log", "season.csv", "--out", "x.csv")).toMatch(/cut or broken/);
    expect(await refused("half.json", "--log", "season.csv", "--out", "x.csv")).toMatch(/half\.json/);
  });

  test("refuses what it cannot use, names it, and writes nothing", async () => {
    const csv = phoneCsv(DAY);
    await Deno.writeTextFile(`${room}/double.csv`, csv + csv.split("\r\n")[2] + "\r\n");
    await Deno.writeTextFile(`${room}/other.csv`, csv.replaceAll("A-open", "Z-open"));
    expect(await refused("double.csv", "--log", "season.csv", "--out", "x.csv")).toMatch(
      /got "20260502-b-01" twice/,
    );
    expect(await refused("other.csv", "--log", "season.csv", "--out", "x.csv")).toMatch(/Z-open/);
    expect(await refused("nowhere.csv", "--log", "season.csv", "--out", "x.csv")).toContain("nowhere.csv");
    expect(await refused(`${NAME}.csv`)).toContain("name the phone's export, and the season's log");
    expect(await refused(`${NAME}.csv`, "--log", "season.csv", "--out", "machines.json")).toContain(
      "it is there already, and no log is ever written over",
    );
    expect(exists(`${room}/x.csv`)).toBe(false);
  });

  test("a foreign season log with its mapping is joined in the kit's own headings; a cell it cannot convert is refused", async () => {
    const [, ...rows] = SEASON.trimEnd().split("\n");
    const head = "Nr,Walk,Place,Day,settings,Going right,Going left,my_call,dug,result,metal,keep,Deep";
    const foreign = [head, `${rows[0]},4in`, `${rows[1]},`];
    await Deno.writeTextFile(`${room}/foreign.csv`, `${foreign.join("\n")}\n`);
    const names = { Nr: "signal_id", Walk: "outing_id", Place: "site", Day: "date" };
    const columns = [
      ...Object.entries({ ...names, "Going right": "readings_right", "Going left": "readings_left" })
        .map(([heading, field]) => ({ heading, field })),
      { heading: "Deep", field: "depth_indicated", unit: "in", refuse: ["?"] },
    ];
    await Deno.writeTextFile(
      `${room}/columns.json`,
      JSON.stringify({ schema: "overiron-columns/1", columns }),
    );
    const mapped = ["--columns", "columns.json", "--machines", "machines.json"];
    const { code, stderr } = await takeHome(`${NAME}.csv`, "--log", "foreign.csv", ...mapped);
    expect([code, stderr.includes("5 new signals, 0 that were there already, 1 changed.")]).toEqual([
      0,
      true,
    ]);
    const [top, first] = (await Deno.readTextFile(`${room}/foreign-joined.csv`)).split("\n");
    const cells = first!.split(",");
    expect(top!.split(",").slice(0, 4).map((name, i) => [name, cells[i]])).toEqual([
      ["signal_id", "20260501-a-01"],
      ["outing_id", "20260501-a"],
      ["site", "K7"],
      ["date", "2026-05-01"],
    ]);
    expect(cells[top!.split(",").indexOf("depth_indicated")]).toBe("10.16");

    await Deno.writeTextFile(`${room}/odd.csv`, `${foreign.join("\n").replace("4in", "?")}\n`);
    const odd = await takeHome(`${NAME}.csv`, "--log", "odd.csv", ...mapped);
    expect(odd.code).toBe(1);
    expect(odd.stderr).toContain(
      "Cannot join odd.csv, line 2: depth_indicated is a word that the mapping refuses",
    );
    expect(await exists(`${room}/odd-joined.csv`)).toBe(false);
  });
});
