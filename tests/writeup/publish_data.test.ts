import { mkdtempSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { z } from "zod";
import {
  deriveOutcome,
  loadDigLog,
  loadGardenLog,
  openData,
  parseMachines,
  rejectedCsv,
  type Season,
  type Signal,
  type Trial,
} from "../../lib/log/mod.ts";
import {
  keyCsv,
  publishData,
  type PublishDataOptions,
  type PublishedData,
} from "../../lib/writeup/publish_data.ts";
import { siteLetters } from "../../lib/writeup/_renamer.ts";
import { faultOf, file, MACHINES_JSON } from "../log/_helpers.ts";

const secretMachines = parseMachines(JSON.stringify({
  ...MACHINES_JSON,
  machines: [...MACHINES_JSON.machines.map((machine) => ({ ...machine, notes: "CANARY-machine-note" })), {
    ...MACHINES_JSON.machines[0],
    machine: "CANARY unused machine",
  }],
  settings: MACHINES_JSON.settings.map((set) => ({ ...set, notes: "CANARY-set-note" })),
}));

const DIG = [
  "signal_id,outing_id,date,site,site_private,settings,machine,observer,ground,moisture,started_at,ended_at,check_start,coil_height_cm,seen_at," +
  "readings_right,readings_left,silent_left,passes_left,readings_cross,both_ways,tone_heard,depth_indicated,rule_version,dig_chance,latitude,longitude,dug," +
  "stopped_why,hole_id,iron_evidence,outcome_stated,notes,what,metal,keep,readings_alone,reported,what_2,metal_2,keep_2,find_id_2,CANARY-column",
  // Secrets stand wherever free text, a place, a person or a time may be written.
  "CANARY-id,CANARY-outing,2031-07-19,CANARY-site,,a-quiet,,CANARY-observer,CANARY-ground,CANARY-damp,07:31,17:32,400 402,5,2031-07-19T08:33,400 x 410,-,,,,yes,CANARY-tone,12,CANARY-rule,0.5,51.4777,-0.0014,yes,,CANARY-hole,touching,,CANARY-note,CANARY-what,ferrous,no,,no,CANARY-what2,non-ferrous,yes,CANARY-find,x"
    .replace(",-,,,,yes,", ",405 x,1,2,38-42,yes,"),
  'CANARY-id2,CANARY-outing,2031-07-19,CANARY-site,,a-quiet,,CANARY-observer2,clay,wet,07:31,17:32,,5,08:34,90 95,x,,,,no,low iron,deep,CANARY-rule,,51.4777,-0.0014,stopped,CANARY-why,,,,"=cmd() CANARY, ""quoted""\nnext line",,,,,,,,,,',
  "3,CANARY-out3,2031-08-01,CANARY other site,,b-open,,CANARY-observer,sand,dry,,,,,,-5 -10,-20--10,,,40 x 3,not-tried,top,shallow,,,,,no,,,,,,,,,,,,,,,",
  "4,CANARY-out4,2031-08-01,CANARY private site,yes,b-open,,CANARY-observer3,sand,dry,,,,,,-55 -65,-20,,,,no,top,shallow,,,,,yes,,,,masked-good,,CANARY-x,both,yes,,,,,,,",
  "5,CANARY-out3,2031-08-01,CANARY other site,,,Machine B,CANARY-observer,sand,dry,,,,,,5?,,3,3,,,,,,,,,no,hazard,,,,,,,,,,,,,,",
  "6,CANARY-out3,2031-08-01,CANARY other site,,b-open,,,,,,,,,CANARY-time,0,0,,,,,,,,,,,no,,,,,,,,,,,,,,,",
  '7,CANARY-out3,2031-08-01,CANARY other site,,b-open,,,,,,,,,,0,0,,,,,,,,,,,yes,,,none,,,CANARY,non-ferrous,yes,"15, 20",yes,,,,,',
].join("\n") + "\n";
const GARDEN = [
  "trial_id,block,run_order,tried_at,settings,spot,target,neighbour,gap_cm,readings_right,readings_left,tone_heard,clean_readings,notes",
  "CANARY-t1,CANARY-b,1,2031-05-06T07:08,a-quiet,CANARY-spot,copper disc,long nail,4,380 390,350 x 340,high,410 412,CANARY-note",
  "CANARY-t2,CANARY-b,2,2031-05-06,a-quiet,CANARY-spot,copper disc,none,,410,409,CANARY-heard,,",
  "CANARY-t3,,3,07:09,b-open,,lead ball,tack,-1,5,5,,,",
  "CANARY-t4,CANARY-b2,3,,b-open,,lead ball,tack,1,,,,,",
].join("\n") + "\n";

const load = async () => ({
  digLog: await loadDigLog(file(DIG, "CANARY-dig.csv"), secretMachines),
  gardenLog: await loadGardenLog(file(GARDEN, "CANARY-garden.csv"), secretMachines),
  machines: secretMachines,
});
const publish = async (options: Partial<PublishDataOptions> = {}) =>
  publishData(await load(), { seed: 1, ...options });
const textOf = (data: PublishedData, name: string): string => {
  const found = data.files.find((each) => each.name === name);
  if (found === undefined) throw new Error(`no ${name}`);
  return found.text;
};
const written = (data: PublishedData): string => {
  const folder = mkdtempSync(join(tmpdir(), "published-"));
  for (const { name, text } of data.files) writeFileSync(join(folder, name), text);
  return folder;
};
const nameOf = (data: PublishedData) => (kind: string, was: string | null | undefined): string | null =>
  was === null || was === undefined
    ? null
    : data.key.find((entry) => entry.kind === kind && entry.was === was)!.now;

describe("publishData() holds back what is private", () => {
  test("no planted secret is in any byte, nor a day, a time, a coordinate or a file name", async () => {
    const data = await publish();
    for (const { name, text } of data.files) {
      expect(name).not.toMatch(/canary/i);
      expect(text, name).not.toMatch(/canary/i);
      expect(text, name).not.toMatch(
        /2031-\d\d-\d\d|07:3|17:3|08:3|07:0|51\.4|0\.0014|dig\.csv|garden\.csv|quoted|cmd\(\)/,
      );
    }
    expect(data.listing.join("\n")).not.toMatch(/canary/i);
  });

  test("the secrets are in the key and in the rejected rows, so that the test above can fail", async () => {
    const data = await publish();
    const { digLog } = await load();
    expect(keyCsv(data.key)).toContain("site,CANARY-site,Site ");
    expect(rejectedCsv(digLog.report.rejected)[0]?.text).toContain("CANARY-time");
    expect(digLog.report.ignored[0]?.heading).toBe("CANARY-column");
  });

  test("a private site is left out whole, and only counted", async () => {
    const data = await publish();
    expect(data.key.filter((entry) => entry.kind === "site").map((entry) => entry.was).sort()).toEqual([
      "CANARY other site",
      "CANARY-site",
    ]);
    const report = JSON.parse(textOf(data, "load-report.json"));
    expect(report.inputs[0]).toEqual({
      role: "dig-log",
      rows: 7,
      accepted: 6,
      rejected: 1,
      blank: 0,
      planned: 0,
      heldBack: 1,
    });
    expect(report.outcomes.some((each: { grade: string }) => each.grade === "as-stated")).toBe(false);
    expect(textOf(data, "signals.csv")).not.toContain("-55");
    expect(data.listing.at(-1)).toBe("Left out whole: 1 signals of private sites");
  });

  test("free words become other, words of the lists and names of bands stay", async () => {
    const text = textOf(await publish(), "signals.csv");
    const [head, ...rows] = text.trimEnd().split("\n").map((line) => line.split(","));
    const column = (name: string) => rows.map((row) => row[head!.indexOf(name)]);
    expect(column("ground")).toEqual(["other", "clay", "sand", "sand", ""]);
    expect(column("moisture")).toEqual(["other", "wet", "dry", "dry", ""]);
    expect(column("tone_heard")).toEqual(["other", "low iron", "top", "", ""]);
    expect(column("stopped_why")).toEqual(["", "other", "", "hazard", ""]);
    expect(column("date")).toEqual(["2031-07", "2031-07", "2031-08", "2031-08", "2031-08"]);
    expect(column("signal_id")).toEqual(["s0001", "s0002", "s0003", "s0004", "s0005"]);
    expect(column("outing_id")).toEqual(["o001", "o001", "o002", "o002", "o002"]);
    for (const name of ["notes", "latitude", "longitude", "seen_at", "what", "site_private"]) {
      expect(head).not.toContain(name);
    }
  });

  test("no private site left anything: that is refused", async () => {
    const digLog = await loadDigLog(
      file("signal_id,site,site_private,machine,readings_right,readings_left\n1,a,yes,Machine A,5,5\n"),
      secretMachines,
    );
    expect((await faultOf(() => publishData({ digLog, machines: secretMachines }, { seed: 1 }))).message)
      .toBe(
        "Cannot publish data: need a signal that may be shown, got 1 of private sites and 0 with a find still to be reported",
      );
    expect((await faultOf(() => publishData({ machines: secretMachines }, { seed: 1 }))).message).toBe(
      "Cannot publish data: need a dig log or a garden log, got neither",
    );
  });
});

/** What openData() must give back, made from what was loaded by the rules of privacy alone. */
function expected(
  season: Season,
  trials: readonly Trial[],
  data: PublishedData,
  noise: readonly { machine: string; limit: number }[],
) {
  const now = nameOf(data);
  const word = (words: string[], text: string | null) =>
    text === null ? null : words.includes(text) ? text : "other";
  const tone = (text: string | null) => text === null ? null : text.includes("CANARY") ? "other" : text;
  const month = (date: string | null) => date === null ? null : date.slice(0, 7);
  const places = {
    ground: (text: string | null) => word(["clay", "sand"], text),
    moisture: (text: string | null) => word(["wet", "dry"], text),
  };
  const signals = season.signals.filter((signal) => !signal.kept_private?.site_private).map((
    { kept_private: _, ...signal },
  ): Signal => ({
    ...signal,
    signal_id: now("signal", signal.signal_id)!,
    outing_id: now("outing", signal.outing_id)!,
    site: now("site", signal.site)!,
    observer: now("observer", signal.observer),
    date: month(signal.date),
    ground: places.ground(signal.ground),
    moisture: places.moisture(signal.moisture),
    tone_heard: tone(signal.tone_heard),
    stopped_why: word(["hazard"], signal.stopped_why),
    hole_id: now("hole", signal.hole_id),
    rule_version: now("rule version", signal.rule_version),
    finds: signal.finds.map((find) => ({
      ...find,
      find_id: now("find", find.find_id)!,
      hole_id: now("hole", find.hole_id)!,
      what: null,
      reported: null,
    })),
    outcome: deriveOutcome(signal, {
      repeatLimit: noise.find((each) => each.machine === signal.machine)!.limit,
    }),
  }));
  const outings = season.outings!.filter((outing) => outing.site !== "CANARY private site").map((outing) => ({
    ...outing,
    outing_id: now("outing", outing.outing_id)!,
    site: now("site", outing.site)!,
    observer: now("observer", outing.observer),
    date: month(outing.date),
    ground: places.ground(outing.ground),
    moisture: places.moisture(outing.moisture),
  }));
  const published = trials.map((trial) => ({
    ...trial,
    trial_id: now("trial", trial.trial_id)!,
    block: now("block", trial.block)!,
    spot: now("spot", trial.spot),
    date: month(trial.date),
    tone_heard: tone(trial.tone_heard),
  }));
  return { signals, outings, trials: published };
}

describe("openData() reads back what publishData() wrote", () => {
  test("the same rows, less what is private", async () => {
    const logs = await load();
    const data = publishData(logs, { seed: 1 });
    const opened = await openData(written(data));
    const wanted = expected(
      logs.digLog.season,
      logs.gardenLog.garden.trials,
      data,
      opened.report.repeatNoise,
    );
    expect(opened.season?.signals).toEqual(wanted.signals);
    expect(opened.season?.outings).toEqual(wanted.outings);
    expect(opened.garden?.trials).toEqual(wanted.trials);
    expect(opened.machines.machines.map((machine) => machine.machine)).toEqual(["Machine A", "Machine B"]);
    expect(opened.season?.machines).toEqual(opened.machines.machines);
    expect(opened.report).toEqual(JSON.parse(textOf(data, "load-report.json")));
    // Signals and readings of every kind were among them.
    expect(opened.season?.signals.map((signal) => signal.right?.readings)).toEqual([
      [400, 410],
      [90, 95],
      [-5, -10],
      [5],
      [0],
    ]);
    expect(opened.season?.signals[3]?.left).toMatchObject({ written: "", silent: 3 });
  });

  test("what an x means is kept for cells that have no counts beside them", async () => {
    const text =
      "signal_id,site,machine,readings_right,readings_left,dug,metal,keep,readings_alone\n1,a,Machine A,5,38 x 3,yes,both,yes,38 x 3\n";
    for (const spacedX of ["count", "silent"] as const) {
      const digLog = await loadDigLog(file(text), secretMachines, { spacedX });
      const opened = await openData(written(publishData({ digLog, machines: secretMachines }, { seed: 1 })));
      const [signal] = opened.season!.signals;
      expect(signal?.finds[0]?.readings_alone).toEqual(digLog.season.signals[0]?.finds[0]?.readings_alone);
      expect(signal?.left).toEqual(digLog.season.signals[0]?.left);
      expect(signal?.left?.silent).toBe(spacedX === "silent" ? 1 : 0);
    }
  });

  test("a garden or a season by itself", async () => {
    const { digLog, gardenLog, machines } = await load();
    const garden = await openData(written(publishData({ gardenLog, machines }, { seed: 1 })));
    expect([garden.season, garden.garden?.trials.length]).toEqual([null, 2]);
    const season = await openData(
      new URL(`file://${written(publishData({ digLog, machines }, { seed: 1 }))}`),
    );
    expect([season.season?.signals.length, season.garden]).toEqual([5, null]);
  });

  test("an edited outcome, a missing file and a foreign report are refused", async () => {
    const folder = written(await publish());
    const signals = textOf(await publish(), "signals.csv");
    writeFileSync(join(folder, "signals.csv"), signals.replace("masked-good", "ferrous"));
    expect((await faultOf(() => openData(folder))).message).toContain(
      "outcomes must follow from the facts beside them",
    );
    writeFileSync(join(folder, "load-report.json"), "{}");
    expect((await faultOf(() => openData(folder))).message).toContain(
      "schema must be overiron-load-report/1, got undefined",
    );
    expect((await faultOf(() => openData(join(folder, "none")))).message).toContain(
      "machines.json: it must be a file that can be read, got no such file",
    );
  });

  test("random finds and readings come back as they were", async () => {
    const cell = fc.constantFrom(
      "",
      "5",
      "-5 x -10",
      "10, 20",
      "5-15",
      "-20--10",
      "5-10-15",
      "x x",
      "5x3",
      "40?",
      "20 x 3",
      "20 x 5",
    );
    const row = fc.tuple(
      cell,
      cell,
      cell,
      fc.constantFrom("ferrous", "non-ferrous", "both", ""),
      fc.constantFrom("yes", "no", ""),
    );
    await fc.assert(
      fc.asyncProperty(fc.array(row, { minLength: 1, maxLength: 6 }), async (rows) => {
        const text = "signal_id,site,machine,readings_right,readings_left,dug,metal,keep,readings_alone\n" +
          rows.map(([right, left, alone, metal, keep], i) =>
            `s${i},a,Machine B,"${right}","${left}",yes,${metal},${keep},"${alone}"`
          ).join("\n") + "\n";
        const digLog = await loadDigLog(file(text), secretMachines);
        const opened = await openData(
          written(publishData({ digLog, machines: secretMachines }, { seed: 3 })),
        );
        const facts = (
          signal: Signal,
        ) => [
          signal.right,
          signal.left,
          signal.outcome,
          signal.finds.map((find) => [find.readings_alone, find.metal]),
        ];
        expect(opened.season!.signals.map(facts)).toEqual(digLog.season.signals.map(facts));
      }),
      { numRuns: 60 },
    );
  });
});

describe("publishData() writes stable files", () => {
  test("the same bytes for the same seed; another seed draws other letters only", async () => {
    expect(await publish()).toEqual(await publish());
    const letters = (data: PublishedData) =>
      data.key.filter((entry) => entry.kind === "site").map((entry) => `${entry.was} ${entry.now}`).sort()
        .join();
    const drawn = new Set<string>();
    for (let seed = 1; seed <= 12; seed++) drawn.add(letters(await publish({ seed })));
    expect(drawn.size).toBe(2);
  });

  test("the order of the rows does not decide a site's letter", async () => {
    const head = "signal_id,site,machine,readings_right,readings_left";
    const rows = ["1,b,Machine A,5,5", "2,a,Machine A,5,5", "3,c,Machine A,5,5"];
    const letters = async (list: string[]) => {
      const digLog = await loadDigLog(file([head, ...list].join("\n")), secretMachines);
      return publishData({ digLog, machines: secretMachines }, { seed: 4 }).key.filter((entry) =>
        entry.kind === "site"
      ).map((entry) => entry.was + entry.now).sort();
    };
    expect(await letters(rows)).toEqual(await letters([...rows].reverse()));
  });

  test("LF line ends, cells with formulas guarded, no carriage return", async () => {
    const data = await publish();
    expect(textOf(data, "signals.csv")).toContain(",'-5 -10,");
    for (const { text } of data.files) {
      expect(text).not.toContain("\r");
      expect(text.endsWith("\n")).toBe(true);
    }
    expect(data.files.map((each) => each.name)).toEqual([
      "datapackage.json",
      "finds.csv",
      "load-report.json",
      "machines.json",
      "outings.csv",
      "signals.csv",
      "trials.csv",
    ]);
  });

  test("the descriptor names every file with its size, checksum and columns", async () => {
    const data = await publish({ date: "2031-12-01", title: "A season" });
    // The rules of the Data Package standard 2.0 (datapackage.org/standard) that this descriptor relies on.
    const field = z.looseObject({
      name: z.string().min(1),
      type: z.enum(["string", "number", "integer", "yearmonth"]),
      constraints: z.looseObject({
        enum: z.array(z.string()).optional(),
        minimum: z.number().optional(),
        maximum: z.number().optional(),
      }).optional(),
    });
    const descriptor = z.looseObject({
      $schema: z.literal("https://datapackage.org/profiles/2.0/datapackage.json"),
      created: z.literal("2031-12-01T00:00:00Z"),
      licenses: z.array(z.looseObject({ name: z.string().regex(/^[A-Za-z0-9.-]+$/), path: z.url() })).min(1),
      sources: z.array(z.looseObject({ title: z.string() })).min(1),
      resources: z.array(z.looseObject({
        name: z.string().regex(/^[a-z0-9._-]+$/),
        path: z.string().regex(/^(?!\.)[^/]+$/),
        bytes: z.int(),
        hash: z.string().regex(/^sha256:[0-9a-f]{64}$/),
        schema: z.looseObject({ fields: z.array(field), missingValues: z.array(z.string()) }).optional(),
      })).min(1),
    }).parse(JSON.parse(textOf(data, "datapackage.json")));
    expect(descriptor.resources.map((resource) => resource.path).sort()).toEqual(
      data.files.map((each) => each.name).filter((name) => name !== "datapackage.json"),
    );
    for (const resource of descriptor.resources) {
      const text = textOf(data, resource.path);
      expect(resource.bytes).toBe(new TextEncoder().encode(text).length);
      if (resource.schema !== undefined) {
        expect(resource.schema.fields.map((each) => each.name).join(",")).toBe(text.split("\n")[0]);
      }
    }
    expect(new Set(descriptor.resources.map((resource) => resource.hash)).size).toBe(
      descriptor.resources.length,
    );
  });
});

test("siteLetters() counts like the columns of a sheet", () => {
  expect([0, 25, 26, 27, 51, 52, 701, 702].map(siteLetters)).toEqual([
    "A",
    "Z",
    "AA",
    "AB",
    "AZ",
    "BA",
    "ZZ",
    "AAA",
  ]);
});

test("a find that is kept and not yet reported holds its hole back; a reported, needless or discarded one does not", async () => {
  const log = "signal_id,site,machine,hole_id,readings_right,readings_left,dug,result,metal,keep,reported\n" +
    [
      "1,a,Machine A,h1,400,410,yes,found,non-ferrous,yes,no",
      "2,a,Machine A,h1,401,411,no,,,,",
      "3,a,Machine A,h3,402,412,yes,found,non-ferrous,yes,yes",
      "4,a,Machine A,h4,403,413,yes,found,non-ferrous,yes,not-needed",
      "5,a,Machine A,h5,404,414,yes,found,ferrous,no,no",
    ].join("\n") + "\n";
  const digLog = await loadDigLog(file(log, "dig.csv"), secretMachines);
  const { files, listing } = publishData({ digLog, machines: secretMachines }, { seed: 1 });
  const signals = files.find(({ name }) => name === "signals.csv")!.text;
  expect(signals.match(/\b40\d\b/g)).toEqual(["402", "403", "404"]);
  expect(listing.join("\n")).toContain("Held back until reported: 2 signals");
  expect(files.find(({ name }) => name === "finds.csv")!.text.trim().split("\n")).toHaveLength(4);
});

test("a name with a place, a person or a day of the log in it, or coordinates, gets a number; other names are as written", async () => {
  const [model] = MACHINES_JSON.machines;
  const bands = model!.tones.bands;
  const telling = parseMachines(JSON.stringify({
    ...MACHINES_JSON,
    machines: [{
      ...model,
      machine: "Top Field machine",
      tones: {
        ...model!.tones,
        name: "Ann's tones",
        // A word that only holds the letters of a name is another word.
        bands: bands.map((band, i) => ({
          ...band,
          name: i === 0 ? "cannon" : i === 1 ? "Ann-2" : band.name,
        })),
      },
    }, { ...model, machine: "unnamed machine 1" }],
    settings: [
      {
        ...MACHINES_JSON.settings[0],
        settings: "quiet, 47.65432",
        machine: "Top Field machine",
        mode: "of 2025-05-03",
        software_version: "1.2025",
      },
      { ...MACHINES_JSON.settings[0], settings: "open", machine: "unnamed machine 1" },
    ],
  }));
  // A person called as a thing is, and notes of a word or two, hide nothing.
  const log = "signal_id,site,date,settings,observer,readings_right,readings_left,tone_heard,notes\n" +
    '1,Top field,2025-05-03,"quiet, 47.65432",Ann,400,410,cannon Ann-2,nail\n' +
    "2,Top field,2025-05-03,open,Nail,400,410,,nail at 80\n3,Top field,2025-05-03,open,Ann,400,410,,ring for the cow\n";
  const garden = "trial_id,settings,target,neighbour,gap_cm,readings_right,readings_left\n" +
    "1,open,nail 80x5mm,ring of Ann,3,400,401\n2,open,Ring for the cow,nail at 12° 20.740' W,3,400,401\n";
  const digLog = await loadDigLog(file(log), telling), gardenLog = await loadGardenLog(file(garden), telling);
  const data = publishData({ digLog, gardenLog, machines: telling }, { seed: 1 });
  const opened = await openData(written(data));
  expect(opened.season!.signals.map(({ machine, settings }) => [machine, settings])).toEqual([
    ["unnamed machine 1", "unnamed settings 1"],
    ["unnamed machine 2", "open"],
    ["unnamed machine 2", "open"],
  ]);
  expect(opened.season!.signals[0]!.tone_heard).toBe("cannon unnamed band 1");
  expect(opened.machines.machines[0]!.tones.name).toBe("unnamed tones 1");
  expect(opened.machines.machines[0]!.tones.bands.slice(0, 2).map(({ name }) => name)).toEqual([
    "cannon",
    "unnamed band 1",
  ]);
  expect(opened.machines.settings[0]).toMatchObject({ mode: "unnamed mode 1", software_version: "1.2025" });
  expect(opened.garden!.trials.map(({ target, neighbour }) => [target, neighbour])).toEqual([
    ["nail 80x5mm", "unnamed object 1"],
    ["unnamed object 2", "unnamed object 3"],
  ]);
  expect(
    data.key.filter(({ now }) => now.startsWith("unnamed")).map(({ kind, was }) => `${kind}: ${was}`).sort(),
  )
    .toEqual([
      "machine: Top Field machine",
      "machine: unnamed machine 1",
      "mode: of 2025-05-03",
      "settings: quiet, 47.65432",
      "test object: Ring for the cow",
      "test object: nail at 12° 20.740' W",
      "test object: ring of Ann",
      "tone band: Ann-2",
      "tone scheme: Ann's tones",
    ]);
  for (const { text } of data.files) expect(text).not.toMatch(/\bann\b|top field|47\.6|12° 20|2025-05-03/i);
});
