import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  FileFault,
  loadDigLog,
  type LogToMerge,
  mergeLogs,
  mergeMachines,
  parseMapping,
} from "../../lib/log/mod.ts";
import { readCsv } from "../../lib/log/read_csv.ts";
import { bytesOf, faultOf, file, machines, oneMachine } from "./_helpers.ts";

const HEAD = "signal_id,site,date,readings_right,readings_left,observer\n";
const log = (name: string, text: string, rest: Partial<LogToMerge> = {}): LogToMerge => ({
  name,
  files: [file(text, `${name}.csv`)],
  ...rest,
});
const rowsOf = (text: string): Record<string, string>[] => {
  const table = readCsv(bytesOf(text), { file: "merged.csv" });
  return Array.from(
    { length: table.rowCount },
    (_, row) => Object.fromEntries(table.headings.map((heading, i) => [heading, table.cell(row, i)])),
  );
};

describe("mergeLogs()", () => {
  const one = log(
    "2024",
    `${HEAD}S1,Hay wharf,2024-03-08,300 310,305,Ines\nS2,Hay wharf,2024-03-08,90,95,\n`,
    { observer: "Bo" },
  );
  const two = log("2025", `${HEAD}S1,Long acre,2025-03-08,400,405,Ines\n`);
  const three = log("club", `${HEAD}S9,Old tip,2025-04-01,10,20,\n`);

  test("puts each log's name before its ids, keeps observers, and fills in those that are said", async () => {
    const merged = await mergeLogs([one, two, three]);
    expect(rowsOf(merged.text).map((row) => [row["merged_from"], row["signal_id"], row["observer"]])).toEqual(
      [
        ["2024", "2024:S1", "Ines"],
        ["2024", "2024:S2", "Bo"],
        ["2025", "2025:S1", "Ines"],
        ["club", "club:S9", ""],
      ],
    );
    expect(merged.parts.map(({ name, rows, written, observers }) => [name, rows, written, [...observers]]))
      .toEqual([
        ["2024", 2, 2, [["Ines", 1], ["Bo", 1]]],
        ["2025", 1, 1, [["Ines", 1]]],
        ["club", 1, 1, [["", 1]]],
      ]);
  });

  test("gives a signal the same id whatever it is merged with, in whatever order", async () => {
    const idsOf = async (logs: LogToMerge[]) =>
      rowsOf((await mergeLogs(logs)).text).map((row) => row["signal_id"]).sort();
    const all = await idsOf([one, two, three]);
    expect(await idsOf([three, one, two])).toEqual(all);
    const first = (await mergeLogs([one, two])).text;
    expect(await idsOf([log("before", first), three])).toEqual(all);
  });

  test("leaves out what is the same to the letter, also when it was merged before", async () => {
    const merged = await mergeLogs([
      one,
      log("copy", `${HEAD}S1,Hay wharf,2024-03-08,300 310,305,Ines\nS3,Hay wharf,2024-03-08,1,2,\n`),
    ]);
    expect(rowsOf(merged.text).map((row) => row["signal_id"])).toEqual(["2024:S1", "2024:S2", "copy:S3"]);
    expect(merged.duplicates).toEqual([{
      kind: "identical",
      first: { log: "2024", file: "2024.csv", line: 2, signal_id: "2024:S1" },
      second: { log: "copy", file: "copy.csv", line: 2, signal_id: "copy:S1" },
    }]);
    expect(merged.parts.map(({ written, identical }) => [written, identical])).toEqual([[2, 0], [1, 1]]);
    const again = await mergeLogs([log("a", merged.text), one]);
    expect(again.duplicates.map(({ kind }) => kind)).toEqual(["identical", "identical"]);
    expect(again.rows).toBe(3);
    expect((await mergeLogs([one, { ...one, name: "copy" }], { keepIdentical: true })).rows).toBe(4);
    // Outings of rows that were all left out were once counted as made.
    const copied = await mergeLogs([one, { ...one, name: "copy" }]);
    expect(copied.parts.map(({ written, madeOutings }) => [written, madeOutings > 0])).toEqual([
      [2, true],
      [0, false],
    ]);
  });

  // Two files of one site, day and machine, nobody named in either, were once loaded as one outing of one person.
  test("keeps rows that name no outing apart by file, and by person within a file", async () => {
    const text =
      `${HEAD}S1,Hay wharf,2024-03-08,300,305,\nS2,Hay wharf,2024-03-08,310,315,\nS3,Hay wharf,2024-03-08,90,95,Bo\n`;
    const merged = await mergeLogs([
      log("one", text),
      log("two", text.replaceAll("S", "T").replace("Tite", "Site")),
    ]);
    expect(merged.parts.map(({ madeOutings }) => madeOutings)).toEqual([2, 2]);
    const { season } = await loadDigLog(file(merged.text), oneMachine);
    expect(season.signals.map(({ signal_id, outing_id, observer }) => [signal_id, outing_id, observer]))
      .toEqual([
        ["one:S1", "one:outing-1", null],
        ["one:S2", "one:outing-1", null],
        ["one:S3", "one:outing-2", "Bo"],
        ["two:T1", "two:outing-1", null],
        ["two:T2", "two:outing-1", null],
        ["two:T3", "two:outing-2", "Bo"],
      ]);
    expect(season.outings).toHaveLength(4);
    const before = [log("before", merged.text), log("new", text)];
    const again = await mergeLogs(before, { keepIdentical: true });
    expect(again.parts.map(({ madeOutings }) => madeOutings)).toEqual([0, 2]);
    // All of the new file was there already: nothing is made of rows that are left out.
    expect((await mergeLogs(before)).parts.map(({ madeOutings }) => madeOutings)).toEqual([0, 0]);
  });

  test("shows, and keeps, rows of one id that differ and signals of one occasion", async () => {
    const head = "signal_id,site,seen_at,readings_right,readings_left\n";
    const merged = await mergeLogs([
      log(
        "a",
        `${head}S1,Hay wharf,2025-03-08T08:15,300,305\nS2,Hay wharf,2025-03-08T08:20,90,95\nS3,Hay wharf,2025-03-08T08:30,90,95\n`,
      ),
      log(
        "b",
        `${head}S1,Hay wharf,2025-03-08T08:16,300,305\nQ7,hay wharf,2025-03-08 08:20:30,90,95\nQ8,Hay wharf,2025-03-08T08:30,91,95\n`,
      ),
    ]);
    expect(merged.rows).toBe(6);
    expect(merged.duplicates.map(({ kind, first, second }) => [kind, first.signal_id, second.signal_id]))
      .toEqual([
        ["changed", "a:S1", "b:S1"],
        ["alike", "a:S2", "b:Q7"],
      ]);
  });

  test("makes one row a signal of the tables of a log, with several finds", async () => {
    const tables = log("2024", "");
    const files = [
      file(
        "signal_id,outing_id,hole_id,readings_right,readings_left,metal\nS1,O1,H1,300,305,ferrous\nS2,O1,,90,95,\n",
        "signals.csv",
      ),
      file("outing_id,site,date,observer\nO1,Hay wharf,2024-03-08,Ines\n", "outings.csv"),
      file(
        "find_id,hole_id,order,metal,keep\nF2,H1,2,non-ferrous,yes\nF1,H1,1,ferrous,no\nF3,S2,1,ferrous,no\nF4,S9,1,ferrous,no\n",
        "finds.csv",
      ),
    ];
    const merged = await mergeLogs([{ ...tables, files }, two]);
    const { season } = await loadDigLog(file(merged.text, "merged.csv"), oneMachine);
    expect(
      season.signals.map((
        { signal_id, site, date, observer, finds },
      ) => [signal_id, site, date, observer, finds.map(({ metal }) => metal)]),
    ).toEqual([
      ["2024:S1", "Hay wharf", "2024-03-08", "Ines", ["ferrous", "ferrous", "non-ferrous"]],
      ["2024:S2", "Hay wharf", "2024-03-08", "Ines", ["ferrous"]],
      ["2025:S1", "Long acre", "2025-03-08", "Ines", []],
    ]);
    expect(merged.parts[0]!.leftOut).toEqual([{
      file: "finds.csv",
      line: 5,
      reason: "must be of a hole of the log",
    }]);
  });

  test("reads each log in its own dialect, decimal mark and mapping", async () => {
    const mapping = parseMapping(JSON.stringify({
      schema: "overiron-columns/1",
      columns: [{ heading: "Place", field: "site" }, { heading: "No", field: "signal_id" }, {
        heading: "R",
        field: "readings_right",
      }, { heading: "L", field: "readings_left" }],
    }));
    const merged = await mergeLogs([
      log("comma", "signal_id;site;readings_right;readings_left;depth_cm;metal\n1;A;300;305;12,5;ferrous\n"),
      log("mapped", "No,Place,R,L,Mood\n1,B,90,95,=good\n", { columns: mapping }),
    ]);
    const { season, report } = await loadDigLog(file(merged.text, "merged.csv"), oneMachine);
    expect(season.signals.map(({ site, finds }) => [site, finds[0]?.depth_cm ?? null])).toEqual([
      ["A", 12.5],
      ["B", null],
    ]);
    // What no field is for is kept, guarded from spreadsheets, and still not used.
    expect(rowsOf(merged.text)[1]!["mood"]).toBe("'=good");
    expect(report.ignored.map(({ heading }) => heading)).toEqual(["mood"]);
  });

  test("leaves out rows that cannot be read as rows, and counts every row", async () => {
    const merged = await mergeLogs([
      log("a", `${HEAD}S1,A,2024-03-08,300,305,\nS2,A\n\n,,,,,\nS3,A,2024-03-08,5" deep,305,\n`),
      two,
    ]);
    expect(merged.parts[0]).toMatchObject({ rows: 3, written: 1, identical: 0, blank: 2 });
    expect(merged.parts[0]!.leftOut.map(({ line, reason }) => [line, reason.slice(0, 40)])).toEqual([
      [3, "must have as many cells as the heading r"],
      [6, "a quote stands inside a field: put the w"],
    ]);
  });

  test("keeps readings that a spreadsheet would run, negative ones among them", async () => {
    const text =
      "signal_id,site,machine,readings_right,readings_left\n1,A,Machine B,-50 -45,-5\n2,A,Machine B,x,-5 - 10\n";
    const merged = await mergeLogs([
      log("a", text),
      log("b", text.replace("1,A", "3,A").replace("2,A", "4,A")),
    ]);
    const { season } = await loadDigLog(file(merged.text, "merged.csv"), machines);
    expect(season.signals.map(({ right, left }) => [right?.readings, left?.readings])).toEqual([
      [[-50, -45], [-5]],
      [[], [-5, 10]],
      [[-50, -45], [-5]],
      [[], [-5, 10]],
    ]);
  });

  test("refuses one log, odd names and two of one name", async () => {
    for (
      const [logs, message] of [
        [[one], "Cannot merge logs: need two or more, got 1"],
        [
          [one, { ...two, name: "a b" }],
          'Cannot merge logs: a log\'s name must be of letters, digits, dots, hyphens and underscores, got "a b"',
        ],
        [[one, { ...two, name: "2024" }], 'Cannot merge logs: two logs must not share a name, got "2024"'],
      ] as const
    ) {
      const fault = await faultOf(() => mergeLogs(logs));
      expect(fault).toBeInstanceOf(RangeError);
      expect(fault.message).toBe(message);
    }
  });

  test("loads to the signals of the logs, whatever is in them", async () => {
    const cell = fc.constantFrom("300", "300 310", "x", "", "38-42", "300 x 2");
    const row = fc.record({
      site: fc.constantFrom("A", "B"),
      right: cell,
      left: cell,
      notes: fc.constantFrom("", '"', "a\nb", "=1", "'", "a,b"),
    });
    await fc.assert(
      fc.asyncProperty(
        fc.array(row, { minLength: 1, maxLength: 6 }),
        fc.array(row, { minLength: 1, maxLength: 6 }),
        async (a, b) => {
          const text = (rows: typeof a) =>
            `signal_id,site,readings_right,readings_left,notes\n${
              rows.map(({ site, right, left, notes }, i) =>
                `S${i},${site},${right},${left},"${notes.replaceAll('"', '""')}"`
              ).join("\n")
            }\n`;
          const merged = await mergeLogs([log("a", text(a)), log("b", text(b))], { keepIdentical: true });
          const kept = (await loadDigLog(file(merged.text), oneMachine)).season.signals;
          const own = [
            ...(await loadDigLog(file(text(a)), oneMachine)).season.signals,
            ...(await loadDigLog(file(text(b)), oneMachine)).season.signals,
          ];
          const seen = (list: Readonly<typeof own>) =>
            list.map(({ site, right, left, kept_private }) => ({
              site,
              right,
              left,
              notes: kept_private?.notes,
            }));
          expect(seen(kept)).toEqual(seen(own));
          const outings = (list: Readonly<typeof own>) => new Set(list.map((each) => each.outing_id)).size;
          expect(outings(kept)).toBe(outings(own.slice(0, a.length)) + outings(own.slice(a.length)));
        },
      ),
      { numRuns: 40, seed: 6 },
    );
  });
});

describe("mergeMachines()", () => {
  test("takes each machine and settings set once, and refuses two of one name", async () => {
    expect(mergeMachines([{ name: "a", machines: oneMachine }, { name: "b", machines }])).toEqual(machines);
    const other = { ...oneMachine, machines: [{ ...oneMachine.machines[0]!, iron_break: 149 }] };
    const fault = await faultOf(() =>
      mergeMachines([{ name: "a", machines }, { name: "b", machines: other }])
    );
    expect(fault).toBeInstanceOf(FileFault);
    expect(fault.message).toBe(
      'Cannot merge machines: a machine must be the same in every log, got two of the name "Machine A", of a and of b; give one another name, in its log too',
    );
    expect((await faultOf(() => mergeMachines([]))).message).toBe(
      "Cannot merge machines: need a machines file, got none",
    );
  });
});
