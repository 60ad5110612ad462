import { describe, expect, test } from "vitest";
import {
  FileFault,
  loadDigLog,
  type LoadDigLogOptions,
  OUTCOME_RULE,
  parseMachines,
} from "../../lib/log/mod.ts";
import { faultOf, file, machines, oneMachine } from "./_helpers.ts";

const load = (text: string, options: LoadDigLogOptions = {}) => loadDigLog(file(text), machines, options);
const NEEDED = "signal_id,site,machine,readings_right,readings_left";

describe("loadDigLog() takes the smallest log", () => {
  test("one reading each way, or a low-usual-high, with what makes it worth the most", async () => {
    const { season, report } = await loadDigLog(
      file([
        "signal_id,site,readings_right,readings_left,both_ways,after_turn,depth_indicated,dug,what,metal,keep",
        "1,Ferry bank,410,405,yes,holds,middle,yes,copper disc,non-ferrous,yes",
        "2,Ferry bank,90-120-200,95,yes,changes,shallow,yes,nail,ferrous,no",
        "3,Kiln yard,300,x,no,not tried,,no,,,",
      ].join("\n")),
      oneMachine,
    );
    expect(
      season.signals.map((
        signal,
      ) => [signal.machine, signal.site, signal.outcome.status, signal.outcome.class]),
    ).toEqual([
      ["Machine A", "Ferry bank", "known", "non-ferrous"],
      ["Machine A", "Ferry bank", "known", "ferrous"],
      ["Machine A", "Kiln yard", "not-dug", null],
    ]);
    expect(season.signals[1]?.right?.kind).toBe("low-usual-high");
    expect(report.accounts).toEqual([{
      role: "dig-log",
      file: "log.csv",
      rows: 3,
      accepted: 3,
      rejected: 0,
      blank: 0,
      planned: 0,
    }]);
    expect(report.assumptions.map((each) => each.text)).toContain(
      "The only machine of the machines file was taken, since the row names none",
    );
  });

  test("four columns are enough; then nothing is dug unless something was found", async () => {
    const { season } = await loadDigLog(
      file("signal_id,site,readings_right,readings_left\n1,a,40,40\n"),
      oneMachine,
    );
    expect(season.signals[0]).toMatchObject({
      dug: "no",
      outcome: { status: "not-dug", class: null, grade: null },
      finds: [],
    });
    const found = await loadDigLog(
      file("signal_id,site,readings_right,readings_left,metal\n1,a,40,40,ferrous\n"),
      oneMachine,
    );
    expect(found.season.signals[0]).toMatchObject({ dug: "yes", outcome: { class: "ferrous" } });
    expect(found.report.assumptions.map((each) => each.text)).toContain(
      "A signal with something found, but no word about digging, was taken as dug",
    );
  });
});

describe("loadDigLog() splits a flat file", () => {
  test("numbered columns are further finds; outings come from site, day, machine and observer", async () => {
    const { season, report } = await load([
      `${NEEDED},date,observer,dug,metal_1,keep_1,metal_2,keep_2,depth_cm_2,readings_alone_2,metal_3`,
      "1,a,Machine A,100,120 x,2024-05-01,Ann,yes,ferrous,no,non-ferrous,yes,12,400 402,",
      "2,a,Machine A,100,120,2024-05-01,Ann,no,,,,,,,",
      "3,a,Machine A,100,120,2024-05-02,Ann,no,,,,,,,",
      "4,a,Machine B,100,120,2024-05-01,Ann,yes,,,,,,,both",
    ].join("\n"));
    expect(season.signals.map((signal) => signal.outing_id)).toEqual([
      "outing-1",
      "outing-1",
      "outing-2",
      "outing-3",
    ]);
    expect(season.outings?.map((outing) => [outing.outing_id, outing.date, outing.machine])).toEqual([
      ["outing-1", "2024-05-01", "Machine A"],
      ["outing-2", "2024-05-02", "Machine A"],
      ["outing-3", "2024-05-01", "Machine B"],
    ]);
    expect(
      season.signals[0]?.finds.map((
        find,
      ) => [find.find_id, find.order, find.metal, find.depth_cm, find.readings_alone?.readings]),
    ).toEqual([
      ["1-1", 1, "ferrous", null, undefined],
      ["1-2", 2, "non-ferrous", 12, [400, 402]],
    ]);
    expect(season.signals[0]?.outcome).toEqual({ status: "known", class: "masked-good", grade: "measured" });
    expect(season.signals[3]?.finds[0]).toMatchObject({ order: 1, metal: "both" });
    expect(report.ignored).toEqual([]);
  });

  test("an outing_id used at two sites becomes two outings, and that is listed", async () => {
    const { season, report } = await load(
      `${NEEDED},outing_id\n1,a,Machine A,1,1,o1\n2,b,Machine A,1,1,o1\n3,a,Machine A,1,1,o1\n`,
    );
    expect(season.signals.map((signal) => signal.outing_id)).toEqual(["o1", "o1#2", "o1"]);
    expect(report.assumptions.map((each) => each.text)).toContain(
      "An outing_id stands for several sites: each site was taken as its own outing",
    );
  });

  test("settings sets give machine and discrimination; a machine alone leaves it not stated", async () => {
    const { season } = await load(
      "signal_id,site,settings,machine,readings_right,readings_left\n1,a,A-Quiet,,1,1\n2,a,,machine b,1,1\n",
    );
    expect(season.signals.map((signal) => [signal.settings, signal.machine, signal.discrimination])).toEqual([
      ["a-quiet", "Machine A", "iron-silenced"],
      [null, "Machine B", "not-stated"],
    ]);
  });

  test("two signals of one hole share its finds, and that is flagged", async () => {
    const { season, report } = await load(
      `${NEEDED},dug,hole_id,metal\n1,a,Machine A,1,1,yes,h,ferrous\n2,a,Machine A,1,1,yes,h,both\n`,
    );
    expect(season.signals.map((signal) => signal.finds.map((find) => find.find_id))).toEqual([
      ["h-1", "h-2"],
      ["h-1", "h-2"],
    ]);
    expect(report.flags.map((each) => each.text)).toContain(
      "Several signals share a hole: each has all of its finds",
    );
  });

  test("what the log states is kept, and a disagreement with the facts is flagged", async () => {
    const { season, report } = await load(
      `${NEEDED},dug,metal,outcome_stated\n1,a,Machine A,1,1,yes,ferrous,masked good\n`,
    );
    expect(season.signals[0]?.outcome).toEqual({ status: "known", class: "masked-good", grade: "as-stated" });
    expect(report.flags).toContainEqual({
      role: "dig-log",
      column: "outcome_stated",
      text: "The outcome that the log states is not what its facts give",
      count: 1,
      first: { file: "log.csv", line: 2, value: "masked-good" },
    });
  });
});

describe("loadDigLog() joins several tables", () => {
  const outings = file(
    "outing_id,date,site,settings,observer,check_start\no1,2024-05-01,Kiln yard,a-quiet,Ann,400 402\no2,2024-05-02,Ferry bank,b-open,Ann,\n",
    "outings.csv",
  );
  const signals = file(
    "signal_id,outing_id,readings_right,readings_left,dug,hole_id\ns1,o1,400,405,yes,h1\ns2,o2,-20--10,x,no,\ns3,o1,500,x,yes,\n",
    "signals.csv",
  );

  test("signals take their outing's facts, finds go by hole and order", async () => {
    const finds = file(
      "hole_id,order,metal,keep,readings_alone\nh1,2,non-ferrous,yes,450\nh1,1,ferrous,no,\n",
      "finds.csv",
    );
    const { season, report } = await loadDigLog([finds, outings, signals], machines);
    expect(
      season.signals.map((
        signal,
      ) => [signal.signal_id, signal.site, signal.machine, signal.date, signal.observer]),
    ).toEqual([
      ["s1", "Kiln yard", "Machine A", "2024-05-01", "Ann"],
      ["s2", "Ferry bank", "Machine B", "2024-05-02", "Ann"],
      ["s3", "Kiln yard", "Machine A", "2024-05-01", "Ann"],
    ]);
    expect(season.signals[0]?.finds.map((find) => [find.find_id, find.metal])).toEqual([["h1-1", "ferrous"], [
      "h1-2",
      "non-ferrous",
    ]]);
    expect(season.signals[0]?.outcome.class).toBe("masked-good");
    expect(season.outings?.[0]?.check_start?.readings).toEqual([400, 402]);
    expect(report.accounts.map((account) => [account.role, account.accepted])).toEqual([["outings", 2], [
      "dig-log",
      3,
    ], ["finds", 2]]);
  });

  test("a signal of no outing and a find of no hole are rejected", async () => {
    const lost = file(
      "signal_id,outing_id,readings_right,readings_left\ns1,o1,400,405\ns2,o9,1,1\n",
      "signals.csv",
    );
    const finds = file("find_id,hole_id\nf1,s1\nf2,s2\n", "finds.csv");
    const { report } = await loadDigLog([lost, outings, finds], machines);
    expect(report.rejected.map((row) => [row.file, row.line, row.faults[0]?.rule])).toEqual([
      ["signals.csv", 3, "must be an outing that was accepted"],
      ["finds.csv", 3, "must be the hole of a signal that was accepted"],
    ]);
  });

  test("two files of one table, or no signals, are a file fault", async () => {
    expect((await faultOf(() => loadDigLog([signals, signals], machines))).message).toBe(
      "Cannot use signals.csv: a dig log has one file of signals, got another",
    );
    expect(
      (await faultOf(() => loadDigLog([outings, file("find_id,hole_id\n1,2\n", "finds.csv")], machines)))
        .message,
    ).toContain("needs a file of signals");
  });
});

describe("loadDigLog() meets bad input", () => {
  test("an unknown machine: the entry it prints can be pasted and loads the log", async () => {
    const text = `${NEEDED}\n1,a,Machine A,5,5\n2,a,Machin A,-40 x,710\n`;
    const fault = await faultOf(() => load(text)) as FileFault;
    expect(fault).toBeInstanceOf(FileFault);
    expect([fault.line, fault.column, fault.status]).toEqual([3, "machine", 1]);
    expect(fault.message).toContain(
      'each machine must be in the machines file, got "Machin A" on line 3; nearest is "Machine A"',
    );
    const entry = JSON.parse(fault.message.split("\n").at(-1)!);
    expect(entry.scale).toEqual({ low: -40, high: 710, step: 1 });
    const more = parseMachines(JSON.stringify({ ...machines, machines: [...machines.machines, entry] }));
    expect((await loadDigLog(file(text), more)).season.signals).toHaveLength(2);
  });

  test("an unknown settings set likewise", async () => {
    const text = "signal_id,site,settings,readings_right,readings_left\n1,a,a-loud,5,5\n";
    const fault = await faultOf(() => load(text));
    expect(fault.message).toContain('each settings set must be in the machines file, got "a-loud" on line 2');
    const entry = JSON.parse(fault.message.split("\n").at(-1)!);
    const more = parseMachines(JSON.stringify({ ...machines, settings: [...machines.settings, entry] }));
    expect((await loadDigLog(file(text), more)).season.signals[0]?.settings).toBe("a-loud");
  });

  test("no machine anywhere while the machines file has two", async () => {
    const fault = await faultOf(() => load("signal_id,site,readings_right,readings_left\n1,a,5,5\n"));
    expect(fault.message).toBe(
      "Cannot use log.csv: a column machine or settings is needed when the machines file has several machines, got neither (machines: Machine A, Machine B)",
    );
  });

  test("an empty file, a heading row only, a missing column", async () => {
    expect((await faultOf(() => load(""))).message).toContain("got an empty file");
    expect((await faultOf(() => load(NEEDED))).message).toContain("got a heading row only");
    expect(
      (await faultOf(() => load("signal_id,site,machine,readings_rigth,readings_left\n1,a,Machine A,5,5\n")))
        .message,
    ).toContain(
      'the column readings_right is needed, got none; nearest is "readings_rigth"',
    );
  });

  test("row faults: each names its line, column, rule and value, and the rest loads", async () => {
    const good = Array.from({ length: 12 }, (_, i) => `g${i},a,Machine A,5,5,yes,12,ferrous`);
    const { season, report } = await load([
      `${NEEDED},dug,depth_cm,metal`,
      "1,a,Machine A,5,5,yes,deep,ferrous",
      "2,a,Machine A,601,5,yes,12,ferrous",
      "3,a,Machine A,5,-1,yes,12,ferrous",
      "4,a,Machine A,5,five,yes,12,ferrous",
      "5,a,Machine A,5,5,maybe,12,ferrous",
      "g0,a,Machine A,5,5,yes,12,ferrous",
      "6,a,Machine A,5,5,yes,12",
      "7,a,,5,5,yes,12,ferrous",
      "8,,Machine A,5,5,yes,12,ferrous",
      '9,a,Machine A,5,5,yes,12",ferrous',
      ...good,
      "g0,a,Machine A,9,9,no,,",
    ].join("\n"));
    expect(
      report.rejected.map((
        row,
      ) => [row.line, row.faults[0]?.column, row.faults[0]?.value, row.faults[0]?.rule]),
    ).toEqual([
      [2, "depth_cm", "deep", "must be a number with a decimal point and no unit"],
      [3, "readings_right", "601", "a reading lies above the machine's scale, which ends at 600"],
      [4, "readings_left", "-1", "a reading lies below the machine's scale, which begins at 0"],
      [5, "readings_left", "five", "must be readings: numbers, with x for a pass that gave none"],
      [6, "dug", "maybe", "must be one of no, yes, stopped"],
      [8, null, "7 cells", "must have as many cells as the heading row, 8"],
      [9, "machine", "", "must name one of the machines of the machines file"],
      [10, "site", "", "must be filled"],
      [
        11,
        null,
        "",
        "a quote stands inside a field: put the whole field in quotes and write each quote in it twice",
      ],
      [12, "signal_id", "g0", "must differ from row to row: the first row with it stands"],
      [24, "signal_id", "g0", "must differ from row to row: the first row with it stands"],
    ]);
    expect(season.signals).toHaveLength(12);
  });

  test("markup and formulas are text like any other", async () => {
    const { season } = await load(
      `${NEEDED},notes,what,dug\n<script>alert(1)</script>,=cmd(),Machine A,5,5,=1+1,<b>,yes\n`,
    );
    expect(season.signals[0]).toMatchObject({
      signal_id: "<script>alert(1)</script>",
      site: "=cmd()",
      kept_private: { notes: "=1+1" },
    });
  });

  test("a heading __proto__", async () => {
    const { report } = await load(`${NEEDED},__proto__,constructor_2\n1,a,Machine A,5,5,x,y\n`);
    expect(report.ignored.map((each) => each.heading)).toEqual(["__proto__", "constructor_2"]);
  });

  test("a garden log, or no file at all", async () => {
    expect((await faultOf(() => loadDigLog([], machines))).message).toBe(
      "Cannot load a dig log: need a file, got none",
    );
    expect((await faultOf(() => loadDigLog({ ...file("a\n1\n"), role: "trials" }, machines))).message).toBe(
      "Cannot load a dig log: log.csv is a garden log",
    );
  });
});

test("loadDigLog() marks a site private by any row, even a rejected or a misspelt one", async () => {
  const { season, privateSites, report } = await load(
    `${NEEDED},site_private\n1,a,Machine A,5,5,\n2,a,Machine A,5,999,yes\n3,b,Machine A,5,5,no\n4,c,Machine A,5,5,\n5,c,Machine A,5,5,privat\n`,
  );
  expect(report.rejected.map((row) => row.line)).toEqual([3, 6]);
  expect(privateSites).toEqual(["a", "c"]);
  expect(season.signals.map((signal) => [signal.site, signal.kept_private?.site_private])).toEqual([
    ["a", true],
    ["b", false],
    ["c", true],
  ]);
});

test("loadDigLog() keeps a signal private when its outing's site is, whatever site it names itself", async () => {
  const outings = file(
    "outing_id,site,machine,site_private\no1,a,Machine A,yes\no2,b,Machine A,no\n",
    "outings.csv",
  );
  const signals = file(
    "signal_id,outing_id,site,readings_right,readings_left\n1,o1,a corner,5,5\n2,o2,,5,5\n",
    "signals.csv",
  );
  expect((await loadDigLog([outings, signals], machines)).privateSites).toEqual(["a", "a corner"]);
});

test("loadDigLog() leaves its input untouched and gives the same twice", async () => {
  const input = Object.freeze(file(`${NEEDED}\n1,a,Machine A,5 x,5\n`));
  const before = input.bytes.slice();
  const [one, two] = [await loadDigLog(input, machines), await loadDigLog(input, machines)];
  expect(input.bytes).toEqual(before);
  expect(one).toEqual(two);
});

test("OUTCOME_RULE is printed in sentences", () => {
  for (const line of OUTCOME_RULE) expect(line).toMatch(/^[A-Z].*\.$/);
});
