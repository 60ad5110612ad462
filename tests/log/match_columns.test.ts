import { describe, expect, test } from "vitest";
import { loadDigLog } from "../../lib/log/load_dig_log.ts";
import { loadGardenLog } from "../../lib/log/load_garden_log.ts";
import { parseMachines } from "../../lib/log/machines.ts";
import { mappingText, parseMapping } from "../../lib/log/mapping.ts";
import { matchColumns, patchLines, questionsText } from "../../lib/log/match_columns.ts";
import { amendMapping } from "../../lib/log/amend_mapping.ts";
import { type MappingQuestion, proposeMapping } from "../../lib/log/propose_mapping.ts";
import { readTable } from "../../lib/log/read_table.ts";
import { file, machines } from "./_helpers.ts";

const own = parseMachines(await Deno.readTextFile("datasets/demo/machines.json"));
const demo = async (name: string): Promise<{ headings: string[]; rows: string[][] }> => {
  const table = await readTable(file(await Deno.readTextFile(`datasets/demo/${name}.csv`)));
  return {
    headings: [...table.headings],
    rows: Array.from(
      { length: table.rowCount },
      (_, row) => table.headings.slice(0, table.width(row)).map((_, at) => table.cell(row, at)),
    ),
  };
};
const csv = (headings: readonly string[], rows: readonly (readonly string[])[], name: string) =>
  file(
    [headings, ...rows].map((row) => row.map((cell) => `"${cell.replaceAll('"', '""')}"`).join(";")).join(
      "\r\n",
    ),
    name,
  );

/** Answers by the beginning of a question's id; a question that no answer was written for fails the test. */
const answering = (answers: Readonly<Record<string, string | RegExp>>, asked: string[] = []) =>
(
  question: MappingQuestion,
) => {
  asked.push(question.id);
  const key = Object.keys(answers).find((each) => question.id.startsWith(each));
  if (key === undefined) throw new Error(`Nobody expected the question ${question.id}: ${question.text}`);
  const chosen = question.options.find((each) => each.label.match(answers[key]!));
  if (chosen === undefined) throw new Error(`No such answer to ${question.id}: ${answers[key]}`);
  return Promise.resolve(chosen.patch);
};

describe("a demo log rewritten in foreign shape loads to the same rows", () => {
  const GERMAN: Readonly<Record<string, string>> = {
    signal_id: "Lfd. Nr.",
    outing_id: "Begehung",
    date: "Datum",
    site: "Fundort",
    settings: "Einstellung",
    observer: "Beobachter",
    readings_right: "Werte hin",
    readings_left: "Werte zurück",
    readings_cross: "Werte quer",
    both_ways: "Beide Richtungen",
    after_turn: "Nach Drehung",
    iron_near: "Eisen in der Nähe",
    tone_heard: "Ton",
    depth_indicated: "Tiefenanzeige (Zoll)",
    my_call: "Einschätzung",
    dug: "Gegraben",
    result: "Ergebnis",
    iron_evidence: "Eisen im Loch",
    what: "Fund",
    metal: "Metall",
    keep: "Behalten",
    depth_cm: "Fundtiefe mm",
    readings_alone: "Wert allein",
    notes: "Bemerkungen",
  };
  const WORDS: Readonly<Record<string, Readonly<Record<string, string>>>> = {
    both_ways: { yes: "ja", no: "nein", "not-tried": "nicht versucht" },
    after_turn: { holds: "bleibt", changes: "wechselt", gone: "weg", "not-tried": "nicht probiert" },
    iron_near: { none: "kein", some: "etwas", full: "viel", "not-looked": "nicht geschaut" },
    depth_indicated: { shallow: "flach", middle: "mittel", deep: "tief" },
    my_call: { good: "gut", iron: "Eisen", "cannot-say": "unklar" },
    dug: { yes: "ja", no: "nein", stopped: "abgebrochen" },
    result: { found: "gefunden", "nothing-found": "nichts", "not-identified": "unbekannt" },
    iron_evidence: {
      touching: "angerostet",
      "in-plug": "im Stich",
      "in-hole": "im Loch",
      stain: "Rost",
      none: "kein",
      "not-looked": "nicht geschaut",
    },
    metal: { ferrous: "Eisen", "non-ferrous": "Buntmetall", both: "beides", "not-sure": "unsicher" },
    keep: { yes: "ja", no: "nein", hazard: "Gefahr" },
  };

  test("the dig log", async () => {
    const { headings, rows } = await demo("dig-log");
    const at = (name: string): number => headings.indexOf(name);
    const foreign = rows.map((row) =>
      row.map((cell, i) => {
        const name = headings[i]!;
        const word = WORDS[name.replace(/_\d$/, "")]?.[cell];
        if (word !== undefined) return word;
        const day = /^(\d{4})-(\d{2})-(\d{2})$/.exec(cell);
        if (name === "date" && day !== null) return `${Number(day[3])}.${Number(day[2])}.${day[1]}`;
        if (name === "depth_indicated" && /^\d+$/.test(cell)) {
          return String(Number((Number(cell) / 2.54).toFixed(9))).replace(".", ",");
        }
        if (name === "depth_cm" && /^\d+(?:\.\d+)?$/.test(cell)) return String(Number(cell) * 10);
        return cell;
      })
    );
    const named = headings.map((name) => GERMAN[name] ?? name);
    const log = csv(named, foreign, "grabung.csv");
    const asked: string[] = [];
    const { mapping, questions } = await matchColumns(await readTable(log), own, {
      ask: answering({
        "word Gegraben: maybe": /^a slip/,
        "readings.hyphen": /^lowest and highest/,
      }, asked),
    });
    expect(questions).toEqual([]);
    expect(asked.sort()).toEqual(["readings.hyphen", "word Gegraben: maybe"]);
    const saved = parseMapping(mappingText(mapping));
    expect(saved).toEqual(mapping);

    const before = await loadDigLog(csv(headings, rows, "grabung.csv"), own);
    const after = await loadDigLog(log, own, { columns: saved });
    const bare = (log: typeof before) =>
      log.season.signals.map((signal) => ({
        ...signal,
        // 9 digits of an inch are not the last bit of a centimetre.
        depth_indicated: typeof signal.depth_indicated === "number"
          ? Number(signal.depth_indicated.toFixed(6))
          : signal.depth_indicated,
      }));
    expect(after.report.accounts[0]).toEqual(before.report.accounts[0]);
    expect(bare(after)).toEqual(bare(before));
    expect(after.report.outcomes).toEqual(before.report.outcomes);
    expect(after.report.rejected.map((row) => [row.line, row.cells[at("signal_id")]])).toEqual(
      before.report.rejected.map((row) => [row.line, row.cells[at("signal_id")]]),
    );
    expect(before.season.signals.length).toBeGreaterThan(400);
  });

  test("the garden log, with a column a pass", async () => {
    const { headings, rows } = await demo("garden-log");
    const most = 8;
    const right = headings.indexOf("readings_right"), left = headings.indexOf("readings_left");
    // Cells that are no plain list of passes have no such shape: their rows stay out of this comparison.
    const plain = rows.filter((row) =>
      row.length === headings.length &&
      [right, left].every((i) => /^(?:\d+|x)?(?: (?:\d+|x))*$/.test(row[i]!))
    );
    const pass = (n: number, side: string): string => `${side} ${n}`;
    const numbers = Array.from({ length: most }, (_, i) => i + 1);
    const named = [
      ...headings.filter((_, i) => i !== right && i !== left).map((name) =>
        ({
          trial_id: "Essai",
          target: "Cible",
          neighbour: "Clou",
          gap_cm: "Écart (mm)",
          depth_cm: "Profondeur cm",
        })[name] ?? name
      ),
      ...numbers.map((n) => pass(n, "aller")),
      ...numbers.map((n) => pass(n, "retour")),
    ];
    const foreign = plain.map((row) => [
      ...row.flatMap((cell, i) =>
        i === right || i === left ? [] : [
          headings[i] === "gap_cm" && /^\d+(?:\.\d+)?$/.test(cell)
            ? String(Math.round(Number(cell) * 100) / 10).replace(".", ",")
            : cell,
        ]
      ),
      ...[right, left].flatMap((i) => {
        const passes = row[i]!.split(" ");
        return numbers.map((n) => passes[n - 1] ?? "");
      }),
    ]);
    const log = csv(named, foreign, "jardin.csv");
    const { mapping } = await matchColumns(await readTable(log), own, {
      ask: answering({ "readings.empty_pass": "that pass was not made", "readings.hyphen": /^lowest/ }),
    });
    expect(mapping.table).toBe("trials");
    const before = await loadGardenLog(csv(headings, plain, "jardin.csv"), own);
    const after = await loadGardenLog(log, own, { columns: mapping });
    expect(after.garden.trials).toEqual(before.garden.trials);
    expect(after.garden.trials.length).toBeGreaterThan(100);
  });
});

describe("matchColumns() asks", () => {
  const log = file("Nr,Place,When,ID,Depth,Machine\n1,here,3/4/2025,410,4,A\n2,here,5/4/2025,90,6,A\n");
  test("nothing without somebody to ask, and leaves its questions open", async () => {
    const { questions, mapping } = await matchColumns(await readTable(log), machines);
    expect(questions.map((each) => each.id)).toEqual([
      "column Depth",
      "order When",
      "word Machine: A",
      "readings.direction",
    ]);
    expect(mapping.columns.find((each) => each.heading === "When")).toEqual({
      heading: "When",
      field: "date",
    });
  });
  test("one question at a time, each answer raising or settling others", async () => {
    const asked: string[] = [];
    const { mapping, questions } = await matchColumns(await readTable(log), machines, {
      ask: answering({
        "column Depth": /^depth_cm/,
        "unit Depth": "inches",
        "order When": "month, day, year",
        "word Machine: A": "Machine A",
        "readings.direction": /^that was not noted/,
      }, asked),
    });
    expect(questions).toEqual([]);
    expect(asked).toContain("unit Depth");
    expect(mapping.columns).toContainEqual({ heading: "Depth", field: "depth_cm", unit: "in" });
    const { season } = await loadDigLog(log, machines, { columns: mapping });
    expect(season.signals.map((each) => [each.date, each.machine])).toEqual([
      ["2025-03-04", "Machine A"],
      ["2025-05-04", "Machine A"],
    ]);
  });
  test("until somebody stops", async () => {
    let count = 0;
    const { questions } = await matchColumns(await readTable(log), machines, {
      ask: (question) => Promise.resolve(++count > 1 ? null : question.options[0]!.patch),
    });
    expect(count).toBe(2);
    expect(questions.length).toBeGreaterThan(0);
  });
  test("nothing that was said before", async () => {
    const table = await readTable(log);
    const first = await matchColumns(table, machines, {
      ask: (question) => Promise.resolve(question.options[0]!.patch),
    });
    const again = proposeMapping(table, machines, { given: first.mapping });
    expect(again.questions).toEqual([]);
    expect(again.mapping).toEqual(first.mapping);
  });
  test("and a script that pastes an answer of each question has a whole mapping", async () => {
    const table = await readTable(log);
    let given = parseMapping('{"schema":"overiron-columns/1"}');
    for (let i = 0; i < 20; i++) {
      const { questions, mapping } = proposeMapping(table, machines, { given });
      if (questions.length === 0) {
        expect((await loadDigLog(log, machines, { columns: mapping })).report.accounts[0]?.accepted).toBe(2);
        return;
      }
      const text = questionsText(questions);
      const line = /in "(columns|readings)": (.+)$/m.exec(text.replaceAll('"..."', '"Machine A"'))!;
      const pasted = line[1] === "columns"
        ? { columns: [JSON.parse(line[2]!)] }
        : { readings: JSON.parse(`{${line[2]}}`) };
      given = parseMapping(JSON.stringify(amendMapping(given, pasted)));
    }
    throw new Error("The questions did not end");
  });
});

test("questionsText() and patchLines() say what to paste, and where", () => {
  expect(
    patchLines({ columns: [{ heading: "Day", order: "day-month-year" }], readings: { comma: "decimal" } }),
  ).toEqual([
    'in "columns": { "heading": "Day", "order": "day-month-year" }',
    'in "readings": "comma": "decimal"',
  ]);
  const text = questionsText([{
    id: "constant site",
    heading: null,
    text: "Where?",
    samples: ["a\nb"],
    options: [],
    constant: "site",
  }]);
  expect(text).toBe(
    'Where? (as in "a\\nb")\n  write it once for every row:\n    in "constants": "site": "..."',
  );
});
