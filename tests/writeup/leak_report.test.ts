import { describe, expect, test } from "vitest";
import { FIELDS, loadDigLog, loadGardenLog, parseMachines } from "../../lib/log/mod.ts";
import { findLeaks, leakReport, publishData } from "../../lib/writeup/mod.ts";
import { file, MACHINES_JSON } from "../log/_helpers.ts";
import { machines, plainCells, smallLog, smallProject, smallWriteUp } from "./_small_write_up.ts";

const noted = parseMachines(JSON.stringify({
  ...MACHINES_JSON,
  settings: MACHINES_JSON.settings.map((set) => ({
    ...set,
    notes: "bought in Top lane",
    mode: "for QX 38921 77321",
  })),
}));
const DIG = [
  "signal_id,site,date,site_private,settings,observer,ground,seen_at,readings_right,readings_left,latitude,longitude,notes,what,metal,keep,reported,dug,device",
  "1,Top field,2025-05-03,,a-quiet,Ines,clay,08:33,400,405,51.4777,-0.0014,by the old oak,a buckle,non-ferrous,yes,not-needed,yes,x",
  "2,Top field,2025-05-03,,a-quiet,Ines,mud of the brook,,90,95,,,,,,,,no,x",
  "3,Low moor,2025-06-01,yes,a-quiet,Olaf,,,300,305,51.5,,a note,,,,,no,x",
  "4,Far side,2025-06-02,,a-quiet,Olaf,,,9999,305,,,,,,,,no,x",
  "5,Far side,2025-06-02,,a-quiet,Olaf,,,310,305,,,,a coin,non-ferrous,yes,no,yes,x",
  "6,Far side,2025-06-02,,a-quiet,Olaf,,,310,305,,,,,,,,no,x",
].join("\n") + "\n";
const GARDEN = "trial_id,settings,target,neighbour,gap_cm,readings_right,readings_left\n" +
  "1,a-quiet,disc of Top Field,long nail,3,400,401\n2,a-quiet,disc of Top Field,none,,400,401\n" +
  "3,a-quiet,foil u09tunq,long nail,3,400,401\n";

const report = async (more: Partial<Parameters<typeof leakReport>[0]> = {}) => {
  const digLog = await loadDigLog(file(DIG), noted), gardenLog = await loadGardenLog(file(GARDEN), noted);
  return leakReport({
    digLog,
    gardenLog,
    machines: noted,
    data: publishData({ digLog, gardenLog, machines: noted }, { seed: 1 }),
    title: "A season",
    command: "deno task season DIG-LOG",
    roles: ["dig-log", "garden-log", "machines"],
    ownNotebooks: [],
    ...more,
  });
};

describe("leakReport()", () => {
  test("counts by kind what is held back", async () => {
    const { text } = await report();
    const held = text.slice(text.indexOf("HELD BACK"), text.indexOf("LOOK AGAIN")).trim().split("\n").slice(
      1,
    );
    expect(held.map((line) => line.trim())).toEqual([
      "coordinates of signals (latitude, longitude): 2",
      "names of sites, shown as letters: 3",
      "days, shown as months: 3",
      "times of the day (seen_at): 1",
      "notes: 2",
      "notes on machines and settings: 2",
      "what finds were (what): 2",
      "whether finds were reported: 2",
      "observers, shown as numbers: 2",
      "words shown as other: your own free words, and where you wrote other: 1",
      "machines and settings with nothing published: 2",
      "names shown as unnamed, for a place, a person or a day is in them: 2",
      "columns not used (devices, tracks, anything else): 1",
      "rejected rows: 1",
      "signals of private sites or with a find still to be reported: 2",
      "names of files and folders, what was typed after each option, the environment: all",
    ]);
  });

  test("names every published field once, by how it is shown, and none that is held back", async () => {
    const { text } = await report();
    const part = text.slice(0, text.indexOf("Names shown as written"));
    const [, signals = ""] = /data\/signals\.csv\n([\s\S]*?)\ndata\//.exec(`${part}data/`) ?? [];
    const words = signals.split(/[\s,:]+/);
    for (const { name, publish } of FIELDS.signal) {
      expect(`${name} ${words.filter((word) => word === name).length}`).toBe(
        `${name} ${publish === "held back" ? 0 : 1}`,
      );
    }
    for (const name of ["data/finds.csv", "data/outings.csv", "data/trials.csv"]) {
      expect(part).toContain(name);
    }
  });

  test("tells names that are shown as written, and what in them looks like a place, a person or a day", async () => {
    const { text, leaks, summary } = await report({
      title: "Top  field in 2025-05",
      author: "Ines of 51.4777 N",
    });
    // What gives something away beyond doubt is not shown; the person's own title and name are theirs to decide on.
    expect(text).toContain("  test objects: foil u09tunq, long nail, unnamed object 1\n");
    expect(text).toContain("  modes and versions of software: unnamed mode 1\n");
    expect(leaks).toEqual([
      { where: "the author's name", what: "an observer's name", found: "Ines" },
      { where: "the author's name", what: "a coordinate", found: "51.4777" },
      { where: "the author's name", what: "degrees as a decimal number", found: "51.4777" },
      { where: "a name of test objects", what: "a geohash", found: "u09tunq" },
    ]);
    expect(summary.filter((line) => line.startsWith("LOOK AGAIN"))).toHaveLength(4);
    expect((await report()).text).not.toContain("nothing was found");
  });

  test("a hidden mark in a name is shown", async () => {
    const { text } = await report({ title: "a\u202eb\u001b[2J" });
    expect(text).toContain("  title: a\ufffdb\ufffd[2J\n");
  });
});

describe("findLeaks()", () => {
  const shapes = (text: string): string[] => findLeaks([{ where: "t", text }], []).map(({ found }) => found);
  test.each([
    ["47.65432, -12.34567", ["47.65432", "-12.34567"]],
    ["47°39'15.6\"N 12° 20.740' W", ["47°39'", "12° 20.740'"]],
    ["QX 38921 77321", ["QX 38921 77321"]],
    ["QX3892177321", ["QX3892177321"]],
    ["QX 389 773", ["QX 389 773"]],
    ["29Q 412345 5271234", ["29Q 412345 5271234"]],
    ["8C3W9QCJ+2VX", ["8C3W9QCJ+2VX"]],
    ["at u09tunq", ["u09tunq"]],
    ["on 2025-05-03", ["2025-05-03"]],
  ])("finds a place or a day in %s", (text, found) => {
    expect(shapes(text)).toEqual(found);
  });

  test("leaves ordinary names alone", () => {
    for (
      const text of [
        "Machine A",
        "A-open 2",
        "copper disc 24 mm",
        "version 1.12",
        "nail 80 x 5",
        "A season 2025",
        "30 cm coil",
      ]
    ) {
      expect([text, shapes(text)]).toEqual([text, []]);
    }
  });

  test("finds a log's own words in a notebook, also where they are escaped, and not what only looks like a place", () => {
    const text = JSON.stringify({ source: 'He said "by the oak", 0.123456' });
    const found = findLeaks([{ where: "n", text, shapes: false }], [{
      what: "a note",
      values: ['said "by', "ab"],
    }]);
    expect(found).toEqual([{ where: "n", what: "a note", found: 'said "by' }]);
  });
});

test("a person's own notebook that shows what is held back is told, in the report and to the caller", async () => {
  const root = await smallProject({ plain: plainCells });
  try {
    const log = `${root}/log.csv`;
    await Deno.writeTextFile(log, smallLog);
    const own = `${root}/mine.ipynb`;
    const { notebookOf } = await import("./_notebooks.ts");
    const { writeNotebook } = await import("../../lib/writeup/mod.ts");
    // A kernel may read every file: it can take the log itself.
    const cell = `console.log((await Deno.readTextFile(${JSON.stringify(log)})).slice(49))`;
    await Deno.writeTextFile(own, writeNotebook(notebookOf([{ md: "# Mine" }, cell])));
    const told: string[] = [];
    const made = await smallWriteUp(root, { ownNotebooks: [own], onListing: (lines) => told.push(...lines) });
    expect(made.failures).toEqual([]);
    expect(told.join("\n")).not.toContain("LOOK AGAIN");
    expect(made.leaks).toContainEqual({
      where: "your notebook mine",
      what: "a site's name",
      found: "Top field",
    });
    const text = Deno.readTextFileSync(`${root}/out.rejected/what-is-published.txt`);
    expect(text).toContain("  your notebook mine: a site's name: Top field\n");
    expect(machines.machines).toHaveLength(1);
  } finally {
    await Deno.remove(root, { recursive: true });
  }
});
