import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { loadDigLog } from "../../lib/log/load_dig_log.ts";
import { loadGardenLog } from "../../lib/log/load_garden_log.ts";
import { MAPPING_NOTES, mapTable } from "../../lib/log/map_table.ts";
import { type ColumnMapping, columnMappingSchema } from "../../lib/log/mapping.ts";
import { rejectedCsv } from "../../lib/log/rejected_csv.ts";
import { readTable } from "../../lib/log/read_table.ts";
import { parseMachines } from "../../lib/log/machines.ts";
import { faultOf, file, machines, oneMachine } from "./_helpers.ts";

const mapping = (rest: object): ColumnMapping =>
  columnMappingSchema.parse({ schema: "overiron-columns/1", ...rest });
/** A file of a program that knows nothing of guarded cells. */
const csv = (...rows: (string | number)[][]) =>
  file(
    rows.map((row) => row.map((cell) => `"${String(cell).replaceAll('"', '""')}"`).join(",")).join("\n") +
      "\n",
  );
const column = (heading: string, field: string | null, rest: object = {}) => ({ heading, field, ...rest });

describe("mapTable() makes a table in the kit's own headings", () => {
  const german = file(
    [
      "Lfd. Nr.;Datum;Fundort;Hin;Rück;Tiefe;Beidseitig;Gegraben;Fund;Bemerkung",
      '1;03.04.2025;Kuhweide;"410 412 x";405;"12,5";ja;ja;Kupferscheibe;"schön"',
      "2;05.04.2025;Kuhweide;90-120;-;8 cm;nein;ja;Nagel;",
      ";;;;;;;;;",
      "3;31.04.2025;Kuhweide;300;310;4,5 Zoll;nein;nein;;",
    ].join("\n"),
  );
  const columns = mapping({
    columns: [
      column("Lfd. Nr.", "signal_id"),
      column("Datum", "date", { order: "day-month-year" }),
      column("Fundort", "site"),
      column("Hin", "readings_right"),
      column("Rück", "readings_left"),
      column("Tiefe", "depth_cm", { unit: "cm", decimal: "comma" }),
      column("Beidseitig", "both_ways", { words: { ja: "yes", nein: "no" } }),
      column("Gegraben", "dug", { words: { ja: "yes", nein: "no" } }),
      column("Fund", "what"),
      column("Bemerkung", "notes"),
    ],
    readings: { lone_hyphen: "silent", hyphen: "range" },
    finds: [
      { word: "Kupferscheibe", metal: "non-ferrous", keep: "yes" },
      { word: "nagel", metal: "ferrous", keep: "no" },
    ],
  });

  test("which loads as a log of our own does", async () => {
    const { season, report } = await loadDigLog(german, oneMachine, { columns });
    expect(report.accounts[0]).toMatchObject({ rows: 4, accepted: 2, rejected: 1, blank: 1 });
    expect(season.signals.map((each) => each.outcome.class)).toEqual(["non-ferrous", "ferrous"]);
    expect(season.signals[0]).toMatchObject({
      signal_id: "1",
      date: "2025-04-03",
      site: "Kuhweide",
      both_ways: "yes",
      right: { readings: [410, 412], silent: 1 },
      finds: [{ what: "Kupferscheibe", metal: "non-ferrous", keep: "yes", depth_cm: 12.5 }],
    });
    expect(season.signals[1]).toMatchObject({
      right: { kind: "range", readings: [90, 120] },
      left: { readings: [], silent: 1 },
      finds: [{ metal: "ferrous", depth_cm: 8 }],
    });
  });

  test("and whose faults are told in the log's own words, the row whole", async () => {
    const { report } = await loadDigLog(german, oneMachine, { columns });
    expect(report.rejected[0]).toMatchObject({
      line: 5,
      headings: "Lfd. Nr.;Datum;Fundort;Hin;Rück;Tiefe;Beidseitig;Gegraben;Fund;Bemerkung".split(";"),
      cells: ["3", "31.04.2025", "Kuhweide", "300", "310", "4,5 Zoll", "nein", "nein", "", ""],
      faults: [{
        line: 5,
        column: "Datum",
        field: "date",
        rule: "must be a day of the calendar, read as day, month, year",
        value: "31.04.2025",
      }],
    });
  });

  test("and a mended file of rejected rows loads by the same mapping", async () => {
    const { report } = await loadDigLog(german, oneMachine, { columns });
    const [rejected] = rejectedCsv(report.rejected);
    const mended = file(rejected!.text.replace(",31.04.2025", ",30.04.2025"));
    const { season, report: again } = await loadDigLog(mended, oneMachine, { columns });
    expect(again.ignored).toEqual([]);
    expect(season.signals[0]).toMatchObject({ signal_id: "3", date: "2025-04-30" });
    expect(again.rejected).toEqual([]);
  });

  test("and every conversion is counted with its first example, without a word of the log in the text", async () => {
    const { report } = await loadDigLog(german, oneMachine, { columns });
    const said = (column: string, text: RegExp) =>
      report.assumptions.find((each) => each.column === column && text.test(each.text));
    expect(said("date", /day, month, year/)).toMatchObject({
      count: 2,
      first: { line: 2, value: "03.04.2025" },
    });
    expect(said("both_ways", /as the mapping says/)).toMatchObject({
      count: 3,
      first: { line: 2, value: "ja" },
    });
    expect(said("depth_cm", /decimal comma/)).toMatchObject({ count: 2, first: { value: "12,5" } });
    expect(said("depth_cm", /unit beside it/)).toMatchObject({ count: 2 });
    expect(said("readings_left", /silent pass/)).toMatchObject({ count: 1, first: { line: 3, value: "-" } });
    expect(said("what", /mapping's table/)).toMatchObject({ count: 2 });
    for (const { text } of report.assumptions) expect(text).not.toMatch(/Kuh|Nagel|Datum|Hin\b|Tiefe|ja\b/);
  });
});

describe("mapTable() reads passes in the shape that a log has them", () => {
  const load = async (rows: (string | number)[][], rest: object) => {
    const columns = mapping({
      constants: { site: "here" },
      ids: "row-number",
      ...rest,
    });
    const { season, report } = await loadDigLog(csv(...rows), oneMachine, { columns });
    return { signals: season.signals, report };
  };

  test("a column a pass, in one direction", async () => {
    const heads = [1, 2, 3, 4];
    const { signals, report } = await load([
      ["pass1", "pass2", "pass3", "pass4", "back1", "back2"],
      [410, 412, "", "", 400, "x"],
      [90, "", 95, "", "", ""],
      [200, 205, 210, 215, 220, 225],
    ], {
      columns: [
        ...heads.map((n) => column(`pass${n}`, "readings_right", { pass: n })),
        column("back2", "readings_left", { pass: 2 }),
        column("back1", "readings_left", { pass: 1 }),
      ],
    });
    expect(signals.map((each) => [each.right?.written, each.left?.written])).toEqual([
      ["410 412", "400 x"],
      ["200 205 210 215", "220 225"],
    ]);
    expect(report.rejected[0]?.faults[0]).toMatchObject({
      column: "pass1",
      field: "readings_right",
      value: "90 |  | 95 | ",
      rule: "has an empty pass before a filled one: the mapping must say what empty_pass means",
    });
  });

  test("a column a pass, there and back in turn", async () => {
    const rows = [["p1", "p2", "p3", "p4"], [410, "", 412, 405]];
    const columns = [1, 2, 3, 4].map((n) => column(`p${n}`, "readings", { pass: n }));
    const { signals } = await load(rows, {
      columns,
      readings: { direction: "in-turn", empty_pass: "silent" },
    });
    expect(signals[0]).toMatchObject({
      right: { readings: [410, 412] },
      left: { readings: [405], silent: 1 },
    });
    const turned = await load(rows, {
      columns,
      readings: { direction: "in-turn-from-left", empty_pass: "silent" },
    });
    expect(turned.signals[0]).toMatchObject({
      left: { readings: [410, 412] },
      right: { readings: [405], silent: 1 },
    });
    const fault = await faultOf(() => load(rows, { columns }));
    expect(fault.message).toContain("holds both directions");
    const fromNought = [0, 1, 2, 3].map((n) => column(`p${n + 1}`, "readings", { pass: n }));
    const nought = await load(rows, {
      columns: fromNought,
      readings: { direction: "in-turn", empty_pass: "silent" },
    });
    expect(nought.signals[0]?.right?.readings).toEqual([410, 412]);
  });

  test("one column for both directions", async () => {
    const { signals, report } = await load([["ID"], ["410 405 412"], ["90"]], {
      columns: [column("ID", "readings")],
      readings: { direction: "in-turn" },
    });
    expect(signals.map((each) => [each.right?.readings, each.left?.readings])).toEqual([[[410, 412], [405]], [
      [90],
      undefined,
    ]]);
    expect(report.assumptions.find((each) => each.text.includes("taken in turn"))?.count).toBe(2);
  });

  test("one number a direction with counts of silent passes", async () => {
    const { signals } = await load([["R", "R silent", "L", "L silent"], [410, 2, 405, 0]], {
      columns: [
        column("R", "readings_right"),
        column("R silent", "silent_right"),
        column("L", "readings_left"),
        column("L silent", "silent_left"),
      ],
    });
    expect(signals[0]).toMatchObject({
      right: { readings: [410], silent: 2, passes: 3 },
      left: { silent: 0, passes: 1 },
    });
  });

  test("one direction only: the other is not logged, and that is said", async () => {
    const { signals, report } = await load([["R"], [410]], { columns: [column("R", "readings_right")] });
    expect(signals[0]).toMatchObject({ right: { readings: [410] }, left: null });
    expect(report.assumptions.some((each) => each.text === MAPPING_NOTES.noDirection("left"))).toBe(true);
  });
});

describe("mapTable() turns what a log says of the hole into facts", () => {
  const load = async (rows: (string | number)[][], rest: object) => {
    const columns = mapping({ constants: { site: "here" }, ids: "row-number", ...rest });
    return await loadDigLog(csv(...rows), oneMachine, { columns });
  };
  const both = [column("r", "readings_right"), column("l", "readings_left")];

  test("distances to iron, by limits that are printed and can be changed", async () => {
    const rows = [
      ["r", "l", "found", "iron"],
      [400, 400, "copper disc", "0.5"],
      [400, 400, "copper disc", "3 in"],
      [400, 400, "copper disc", "20"],
      [400, 400, "copper disc", "none seen"],
      [400, 400, "copper disc", "99"],
    ];
    const columns = [
      ...both,
      column("found", "what"),
      column("iron", "iron_distance", { unit: "cm", words: { "none seen": "none" } }),
    ];
    const finds = [{ word: "copper disc", metal: "non-ferrous", keep: "yes" }];
    const { season, report } = await load(rows, { columns, finds });
    expect(season.signals.map((each) => each.iron_evidence)).toEqual([
      "touching",
      "in-plug",
      "in-hole",
      "none",
      "none",
    ]);
    expect(season.signals.map((each) => each.outcome.class)).toEqual([
      "masked-good",
      "masked-good",
      "non-ferrous",
      "non-ferrous",
      "non-ferrous",
    ]);
    expect(
      report.assumptions.some((each) => each.text.includes("touching up to 1 cm, in the plug up to 8 cm")),
    ).toBe(true);
    const wider = await load(rows, { columns, finds, rule: { in_plug_cm: 21, in_hole_cm: 30 } });
    expect(wider.season.signals.map((each) => each.iron_evidence)).toEqual([
      "touching",
      "in-plug",
      "in-plug",
      "none",
      "none",
    ]);
    expect(wider.report.assumptions.some((each) => each.text.includes("in the plug up to 21 cm"))).toBe(true);
  });

  test("a repeat limit stated in the mapping", async () => {
    const rows = [["r", "l", "alone", "found"], [400, 400, 440, "disc"]];
    const columns = [...both, column("alone", "readings_alone"), column("found", "what")];
    const finds = [{ word: "disc", metal: "non-ferrous", keep: "yes" }];
    const at = async (
      limit: number,
    ) => (await load(rows, { columns, finds, rule: { repeat_limits: { "Machine A": limit } } }));
    expect((await at(39)).season.signals[0]?.outcome).toMatchObject({
      class: "masked-good",
      grade: "measured",
    });
    const wide = await at(40);
    expect(wide.season.signals[0]?.outcome).toMatchObject({ class: "non-ferrous", grade: "measured" });
    expect(wide.report.repeatNoise[0]).toMatchObject({
      limit: 40,
      basis: "a limit stated in the mapping of the log",
    });
    const fault = await faultOf(() => load(rows, { columns, rule: { repeat_limits: { "Machine Q": 3 } } }));
    expect(fault.message).toMatch(
      /rule\.repeat_limits must name machines of the machines file, got "Machine Q"; nearest is "Machine A"/,
    );
  });

  test("several finds in one cell, words that say nothing was found, words that are not in the table", async () => {
    const { season, report } = await load([
      ["r", "l", "found"],
      [400, 400, "copper disc + nail"],
      [90, 90, "nothing"],
      [90, 90, "thingamabob"],
      [90, 90, "Nail."],
    ], {
      columns: [...both, column("found", "what", { split: ["+"] })],
      finds: [
        { word: "copper disc", metal: "non-ferrous", keep: "yes" },
        { word: "nail", metal: "ferrous", keep: "no" },
        { word: "nothing", result: "nothing-found" },
      ],
    });
    expect(season.signals.map((each) => each.finds.map((find) => [find.what, find.metal]))).toEqual([
      [["copper disc", "non-ferrous"], ["nail", "ferrous"]],
      [],
      [["thingamabob", null]],
      [["Nail.", "ferrous"]],
    ]);
    expect(season.signals.map((each) => each.outcome.status)).toEqual([
      "known",
      "nothing-found",
      "unknown",
      "known",
    ]);
    expect(report.assumptions.find((each) => each.text === MAPPING_NOTES.unknownFind)).toMatchObject({
      count: 1,
      first: { line: 4, value: "thingamabob" },
    });
  });

  test("a log's own word for the outcome is taken as stated, and its own metal comes before the table", async () => {
    const { season } = await load([
      ["r", "l", "found", "magnet", "class"],
      [400, 400, "buckle", "yes", ""],
      [400, 400, "buckle", "", "junk"],
    ], {
      columns: [
        ...both,
        column("found", "what"),
        column("magnet", "metal", { words: { yes: "ferrous", no: "non-ferrous" } }),
        column("class", "outcome_stated", { words: { junk: "ferrous" } }),
      ],
      finds: [{ word: "buckle", metal: "non-ferrous", keep: "yes" }],
    });
    expect(season.signals.map((each) => [each.finds[0]?.metal, each.outcome.class, each.outcome.grade]))
      .toEqual([
        ["ferrous", "ferrous", "by-evidence"],
        ["non-ferrous", "ferrous", "as-stated"],
      ]);
  });

  test("depth words in order, marks for an empty cell, days and times kept apart", async () => {
    const { season } = await load([
      ["r", "l", "how deep", "at"],
      [400, 400, "knee", "2025-03-08 10:15"],
      [400, 400, "turf", "2025-03-08T23:30Z"],
      [400, 400, "spade", "2025-03-09"],
      [400, 400, "n/a", ""],
    ], {
      columns: [
        ...both,
        column("how deep", "depth_indicated", { depth_order: ["turf", "spade", "knee"] }),
        column("at", "date", { zone: "Pacific/Chatham" }),
        column("at", "seen_at"),
      ],
      empty: ["N/A"],
    });
    expect(season.signals.map((each) => each.depth_indicated)).toEqual(["deep", "shallow", "middle", null]);
    expect(season.signals.map((each) => each.date)).toEqual(["2025-03-08", "2025-03-09", "2025-03-09", null]);
    expect(season.signals.map((each) => each.kept_private?.seen_at)).toEqual([
      "2025-03-08T10:15",
      "2025-03-08T23:30Z",
      "2025-03-09",
      null,
    ]);
  });
});

test("mapTable() names rows after their lines, also in a file of rejected rows", async () => {
  const columns = mapping({
    columns: [column("r", "readings_right"), column("l", "readings_left")],
    constants: { site: "here", machine: "Machine A" },
    ids: "row-number",
  });
  const { season, report } = await loadDigLog(csv(["r", "l"], [1, 2], ["oops", 2], [3, 4]), machines, {
    columns,
  });
  expect(season.signals.map((each) => each.signal_id)).toEqual(["line-2", "line-4"]);
  const [rejected] = rejectedCsv(report.rejected);
  const again = await loadDigLog(file(rejected!.text.replace(",oops,", ",7,")), machines, { columns });
  expect(again.season.signals.map((each) => each.signal_id)).toEqual(["line-3"]);
});

test("mapTable() maps a garden log", async () => {
  const columns = mapping({
    table: "trials",
    columns: [
      column("Versuch", "trial_id"),
      column("Ziel", "target"),
      column("Nagel", "neighbour"),
      column("Abstand (mm)", "gap_cm", { unit: "mm" }),
      column("Hin", "readings_right"),
      column("Rück", "readings_left"),
    ],
    empty: ["-"],
  });
  const { garden, report } = await loadGardenLog(
    csv(["Versuch", "Ziel", "Nagel", "Abstand (mm)", "Hin", "Rück"], [
      1,
      "Scheibe",
      "groß",
      35,
      "410 412",
      400,
    ], [2, "Scheibe", "-", "-", 420, 421]),
    oneMachine,
    { columns },
  );
  expect(garden.trials).toMatchObject([
    { target: "Scheibe", neighbour: "groß", gap_cm: 3.5, right: { readings: [410, 412] } },
    { target: "Scheibe", neighbour: null, gap_cm: null },
  ]);
  expect(report.accounts[0]).toMatchObject({ accepted: 2 });
  const fault = await faultOf(() => loadGardenLog(csv(["a"], [1]), oneMachine, { columns: mapping({}) }));
  expect(fault.message).toContain("needs one for a table of trials, got one of signals");
});

describe("mapTable() refuses a mapping that does not fit", () => {
  const table = readTable(csv(["Place", "dug"], ["here", "yes"]));
  test("a heading that the log lacks", async () => {
    const fault = await faultOf(async () =>
      mapTable(await table, mapping({ columns: [column("Plaec", "site")] }))
    );
    expect(fault.name).toBe("FileFault");
    expect(fault.message).toBe(
      'Cannot use the mapping on log.csv: it names the heading "Plaec", got none of it; nearest is "Place"',
    );
  });
  test("a constant that a column gives", async () => {
    const fault = await faultOf(async () => mapTable(await table, mapping({ constants: { dug: "yes" } })));
    expect(fault.message).toBe(
      "Cannot use the mapping on log.csv: what it gives once must not have a column, got both for dug",
    );
  });
  test("a table that the log is not", async () => {
    const fault = await faultOf(() =>
      loadDigLog(csv(["signal_id"], [1]), oneMachine, { columns: mapping({ table: "finds" }) })
    );
    expect(fault.message).toBe("Cannot use the mapping on log.csv: it is for a table of finds, got signals");
  });
});

test("mapTable() leaves a log in the kit's own form as it is", async () => {
  const text = await Deno.readTextFile("datasets/demo/dig-log.csv");
  const own = parseMachines(await Deno.readTextFile("datasets/demo/machines.json"));
  const plain = await loadDigLog(file(text), own);
  const mapped = await loadDigLog(file(text), own, { columns: mapping({}) });
  expect(mapped.season).toEqual(plain.season);
  expect(mapped.report.accounts).toEqual(plain.report.accounts);
  expect(mapped.report.assumptions).toEqual(plain.report.assumptions);
  expect(mapped.report.rejected.map((each) => [each.line, each.cells])).toEqual(
    plain.report.rejected.map((each) => [each.line, each.cells]),
  );
});

test("mapTable() loses no row and points at the source, whatever the cells", async () => {
  const cell = fc.oneof(
    fc.constantFrom("", "-", "38 40", "38,5", "4in", "3/4/2025", "ja", "x", "=1+1", "'=1", "n/a"),
    fc.string({ maxLength: 8 }).filter((text) => !text.includes("\0")),
  );
  const columns = mapping({
    columns: [
      column("a", "signal_id"),
      column("b", "readings"),
      column("c", "depth_cm", { unit: "in", decimal: "comma" }),
      column("d", "date", { order: "day-month-year" }),
      column("e", "dug", { words: { ja: "yes" } }),
      column("f", "what", { split: ["+"] }),
    ],
    readings: { direction: "in-turn", comma: "decimal", lone_hyphen: "silent" },
    constants: { site: "here" },
    empty: ["n/a"],
    finds: [{ word: "nail", metal: "ferrous" }],
  });
  await fc.assert(
    fc.asyncProperty(
      fc.array(fc.array(cell, { minLength: 7, maxLength: 7 }), { minLength: 1, maxLength: 8 }),
      async (rows) => {
        const table = await readTable(csv(["a", "b", "c", "d", "e", "f", "extra"], ...rows));
        const made = mapTable(table, columns);
        expect(made.rowCount).toBe(table.rowCount);
        const extra = made.headings.indexOf("extra");
        for (let row = 0; row < made.rowCount; row++) {
          expect(made.cell(row, extra)).toBe(table.cell(row, 6));
          made.headings.forEach((_, at) => {
            const from = made.source!.columnOf(at);
            expect(made.place(row, at)).toEqual(table.place(row, Math.max(0, from)));
            if (from >= 0) expect(made.source!.written(row, at)).toBe(table.cell(row, from));
          });
        }
      },
    ),
    { numRuns: 200 },
  );
});
