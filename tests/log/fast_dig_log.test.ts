import fc from "fast-check";
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { type DigLog, loadDigLog, loadDigLogStrictly } from "../../lib/log/load_dig_log.ts";
import {
  type ColumnMapping,
  type LoadDigLogOptions,
  type MachinesFile,
  parseMachines,
  parseMapping,
} from "../../lib/log/mod.ts";
import { readCsvStrictly } from "../../lib/log/read_csv.ts";
import { chance } from "../../lib/numbers/mod.ts";
import { bytesOf, file, machines, oneMachine } from "./_helpers.ts";

type Load = typeof loadDigLog;

/** Everything that a load gives, to the byte and in the order of its parts, or the fault it throws. */
async function told(
  load: Load,
  text: string,
  kit: MachinesFile,
  options: LoadDigLogOptions,
): Promise<string> {
  try {
    const log: DigLog = await load(file(text), kit, options);
    return JSON.stringify(log);
  } catch (error) {
    return `${(error as Error).constructor.name}: ${(error as Error).message}`;
  }
}

/** Whether the signals are still to be made, as they are when columns were read. */
async function isLazy(text: string, kit: MachinesFile, options: LoadDigLogOptions): Promise<boolean> {
  const { season } = await loadDigLog(file(text), kit, options);
  return Object.getOwnPropertyDescriptor(season, "signals")?.get !== undefined;
}

const one = (...words: string[]) => fc.constantFrom(...words);
const reading = one(
  "410",
  "410 412 409",
  "x",
  "x x",
  "410 x 405",
  "x 12",
  "3 x",
  "38 x 3",
  "12 x 48",
  "-35 -40",
  "12 -30",
  "-35 20 -40",
  "-0",
  "0 -0",
  "-5 x -10",
  "x -5",
  "410.5 411.25",
  "007 12",
  "90-120-200",
  "38 - 42",
  "42 to 38",
  "40ish",
  "~40 41",
  "38x3",
  "601",
  "600",
  "-201",
  "7 8",
  "5 10 15",
  "1,2",
  "410  412",
  " 410 ",
  "410\u00a0412",
  "5 – 7",
  "-",
  "abc",
  "1e3",
  "4..2",
  "0.1 0.2 0.30",
  "123456789",
  "1234567890",
  ".",
  "38 . 40",
  "+5 6",
  "5x",
  "X X 300",
  "1.123456 2.1234567",
  "-200 -195 200",
);
const words = (...of: string[]) => one("", "", ...of, ...of.map((word) => word.toUpperCase()), "nonsense");
const cells: Readonly<Record<string, fc.Arbitrary<string>>> = {
  signal_id: one(
    "1",
    "2",
    "3",
    "4",
    "5",
    "6",
    "7",
    "8",
    "9",
    "10",
    "S 11",
    " 12",
    "é13",
    "",
    "'=14",
    "x".repeat(101),
  ),
  outing_id: one("", "o1", "o1", "o2", "outing-1"),
  site: one("Top field", "Top field", "Top  field", "Kiln", "kiln ", "", "Été"),
  date: one("", "2025-03-01", "2025-03-01", "2025-02-30", "2025-03", " 2025-03-01"),
  machine: one("", "Machine A", "Machine A", "machine a", "Machine B", "Machine  B"),
  settings: one("", "a-quiet", "b-open", "A-Quiet"),
  discrimination: words("none", "iron-silenced"),
  observer: one("", "Ines", "Ines ", "Olu"),
  readings_right: reading,
  readings_left: reading,
  readings_cross: reading,
  silent_right: one("", "", "0", "1", "2", "x"),
  passes_right: one("", "", "0", "1", "3", "4", "12"),
  silent_left: one("", "0", "1"),
  passes_left: one("", "2", "3"),
  both_ways: words("yes", "no", "not tried", "not_tried"),
  after_turn: words("holds", "gone"),
  iron_near: words("none", "some", "full"),
  tone_heard: one("", "middle", "Middle"),
  depth_indicated: one("", "6", "12.5", "shallow", "Deep", "300.5", "6,5", "7cm"),
  my_call: words("good", "iron"),
  dug: words("yes", "no", "stopped"),
  stopped_why: one("", "", "hazard", "roots", "a wall"),
  result: words("found", "nothing-found", "not-identified"),
  iron_evidence: words("touching", "in-plug", "none"),
  outcome_stated: words("ferrous", "masked-good", "unknown", "non-ferrous"),
  hole_id: one("", "", "1", "h1", "h1", "h2"),
  dig_chance: one("", "0.5", "1", "1.5", "0,5"),
  balance: one("", "83", "83.0"),
  coil_height_cm: one("", "2"),
  check_start: reading,
  check_end: reading,
  holes_filled: one("", "0", "2", "2.5", "-1"),
  started_at: one("", "10:00", "25:00"),
  latitude: one("", "52.123456", "91"),
  site_private: one("", "", "no", "yes", "maybe", " NO"),
  notes: one("", "a note", " spaced ", "'=1+1", "one, two", "two\nlines", 'say "so"', "=1+1"),
  find_id: one("", "f1", "1-1", "h1-1"),
  what: one("", "lead ball", "nail"),
  metal: words("ferrous", "non-ferrous", "both", "not-sure"),
  keep: words("yes", "no", "hazard"),
  depth_cm: one("", "8", "8.5", "-1"),
  readings_alone: reading,
  metal_2: words("ferrous", "non-ferrous"),
  keep_2: words("yes", "no"),
  readings_alone_2: reading,
  find_id_2: one("", "f2", "1-2"),
  metal_3: words("ferrous"),
  colour: one("", "red"),
};
const optional = Object.keys(cells).filter((name) =>
  !["signal_id", "site", "readings_right", "readings_left", "machine"].includes(name)
);

const quoted = (cell: string, how: number): string =>
  /[",\r\n]/.test(cell) || how === 0 ? `"${cell.replaceAll('"', '""')}"` : cell;

/** A flat dig log: some of the columns in any order, mostly sound cells, some rows broken in their writing. */
const log = fc.record({
  names: fc.subarray(optional, { minLength: 0, maxLength: optional.length }),
  turn: fc.nat(40),
  seed: fc.array(fc.record(cells), { minLength: 1, maxLength: 12 }),
  sound: fc.array(fc.nat(29), { minLength: 60, maxLength: 60 }),
  loose: fc.nat(6),
  breaks: fc.array(fc.nat(40), { minLength: 12, maxLength: 12 }),
  quotes: fc.array(fc.nat(12), { minLength: 60, maxLength: 60 }),
  end: one("\n", "\r\n", "\n"),
  last: fc.boolean(),
  mark: one("", "", "", "rejected_reason"),
}).map(({ names, turn, seed, sound, loose, breaks, quotes, end, last, mark }) => {
  let headings = ["signal_id", "site", "readings_right", "readings_left", "machine", ...names];
  headings = [...headings.slice(turn % headings.length), ...headings.slice(0, turn % headings.length)];
  if (mark !== "") headings.push(mark);
  const plain: Readonly<Record<string, string>> = {
    site: "Top field",
    machine: "Machine A",
    readings_right: "100 105 110",
    readings_left: "95",
  };
  const rows = seed.map((row, i) => {
    const written = headings.map((name, k) => {
      const draw = sound[(i * 7 + k) % 60]!;
      if (name === "signal_id") return draw < loose ? row[name]! : `id${i}`;
      const cell = row[name] ?? "";
      // Machine B lives on another scale: its readings are left as drawn.
      return draw < loose
        ? quoted(cell, quotes[(i * 11 + k) % 60]!)
        : quoted(plain[name] ?? "", quotes[(i * 5 + k) % 60]!);
    });
    const kind = breaks[i];
    if (kind === 0) return written.slice(1).join(",");
    if (kind === 1) return `${written.join(",")},more`;
    if (kind === 2) return "";
    if (kind === 3) return written.map(() => "").join(",");
    if (kind === 4) return written.join(",").replace("4", '4"');
    if (kind === 5) return `${written.join(",")}"`;
    return written.join(",");
  });
  return `${headings.join(",")}${end}${rows.join(end)}${last ? end : ""}`;
});

const perhaps = <T>(value: fc.Arbitrary<T>) => fc.option(value, { nil: undefined });

/** A mapping for such a log: units, words, marks and constants for the columns that it has. */
const mappingFor = fc.record({
  unit: perhaps(one("in", "mm", "cm")),
  decimal: perhaps(one("comma", "point")),
  dug: fc.boolean(),
  left: fc.boolean(),
  site: perhaps(one("Kiln")),
  observer: fc.boolean(),
  empty: fc.subarray(["nonsense", "-", "x"]),
  readings: fc.record({
    hyphen: one("range", "passes"),
    comma: one("decimal", "passes"),
    lone_hyphen: one("empty", "silent"),
    spaced_x: one("count", "silent"),
    two_numbers: one("passes", "first", "second"),
  }, { requiredKeys: [] }),
  ids: fc.boolean(),
  limits: perhaps(one("Machine A", "Machine A", "Machine Z")),
  finds: fc.boolean(),
}).map((of) => (text: string): ColumnMapping | null => {
  const names = readCsvStrictly(bytesOf(text), { file: "log.csv" }).headings;
  const columns: unknown[] = [];
  const add = (heading: string, rest: Readonly<Record<string, unknown>>, when = true): void => {
    if (when && names.includes(heading)) columns.push({ heading, field: heading, ...rest });
  };
  add("depth_cm", { ...(of.unit && { unit: of.unit }), ...(of.decimal && { decimal: of.decimal }) });
  add("depth_indicated", { unit: of.unit ?? "in", words: { "7cm": "7", Deep: "deep" } });
  add("dug", { words: { nonsense: "yes", stopped: "no" }, refuse: ["STOPPED"] }, of.dug);
  add("notes", { field: null }, of.left);
  add("what", { split: [" "] }, of.finds);
  try {
    return parseMapping(JSON.stringify({
      schema: "overiron-columns/1",
      columns,
      constants: of.observer && !names.includes("observer") ? { observer: "Ines" } : {},
      ...(of.ids ? { ids: "row-number" } : {}),
      empty: of.empty,
      readings: of.readings,
      finds: of.finds ? [{ word: "ball", metal: "non-ferrous", keep: "yes" }] : [],
      rule: of.limits === undefined ? {} : { repeat_limits: { [of.limits]: 12 } },
    }));
  } catch {
    return null;
  }
});

describe("loadDigLog() from bytes", () => {
  test("gives to the byte what rows read one by one give", async () => {
    let quickly = 0;
    await fc.assert(
      fc.asyncProperty(
        log,
        fc.boolean(),
        fc.record({
          spacedX: fc.option(one("count", "silent"), { nil: undefined }),
          guarded: fc.option(fc.boolean(), { nil: undefined }),
          strict: one("", "", "", "strict"),
        }),
        async (text, single, given) => {
          const kit = single ? oneMachine : machines;
          const options = {
            ...(given.spacedX === undefined ? {} : { spacedX: given.spacedX as "count" | "silent" }),
            ...(given.guarded === undefined ? {} : { guarded: given.guarded }),
            ...(given.strict === "" ? {} : { strict: true }),
          };
          const quick = await told(loadDigLog, text, kit, options);
          expect(quick).toBe(await told(loadDigLogStrictly, text, kit, options));
          if (quick.startsWith("{") && await isLazy(text, kit, options)) quickly++;
        },
      ),
      { numRuns: 800, seed: 11 },
    );
    // Enough of the files must be ones that load from their bytes, or nothing would be shown.
    expect(quickly).toBeGreaterThan(250);
  });

  test("gives to the byte what rows give, for foreign logs with a mapping and for other formats", async () => {
    let quickly = 0, refused = 0;
    await fc.assert(
      fc.asyncProperty(log, mappingFor, fc.boolean(), async (text, mappingOf, single) => {
        const kit = single ? oneMachine : machines;
        const columns = await Promise.resolve().then(() => mappingOf(text)).catch(() => null);
        if (columns === null) return void refused++;
        const quick = await told(loadDigLog, text, kit, { columns });
        expect(quick).toBe(await told(loadDigLogStrictly, text, kit, { columns }));
        if (quick.startsWith("{") && await isLazy(text, kit, { columns })) quickly++;

        const table = readCsvStrictly(bytesOf(text), { file: "log.csv" });
        const lines = Array.from(
          { length: table.rowCount },
          (_, row) =>
            JSON.stringify(Object.fromEntries(table.headings.map((name, i) => [name, table.cell(row, i)]))),
        ).join("\n");
        const other = await told(loadDigLog, lines, kit, { format: "ndjson" });
        expect(other).toBe(await told(loadDigLogStrictly, lines, kit, { format: "ndjson" }));
      }),
      { numRuns: 120, seed: 12 },
    );
    // Enough of them must load, and from bytes, or nothing would be shown.
    expect(quickly).toBeGreaterThan(25);
    expect(refused).toBeLessThan(40);
  });

  test("gives the same for the demo log, many times over and with slips in it", async () => {
    const demo = new URL("../../datasets/demo/", import.meta.url);
    const kit = parseMachines(readFileSync(new URL("machines.json", demo), "utf8"));
    const [head, ...lines] = readFileSync(new URL("dig-log.csv", demo), "utf8").trimEnd().split("\n");
    const rng = chance(3, "tests/fast-dig-log");
    const rows = Array.from({ length: 2500 }, (_, i) => {
      const line = lines[i % lines.length]!.replace(/^[^,]*/, rng.next() < 0.01 ? "R7" : `R${i}`);
      // Before that stand the settings, and a log that names unknown ones is refused as a whole.
      const at = 50 + rng.integer(Math.max(1, line.length - 50));
      const slip = rng.next();
      // A slip in a quoted field may leave its quote open, and then the whole file is refused.
      if (line.includes('"')) return line;
      if (slip < 0.02) return `${line.slice(0, at)}x${line.slice(at)}`;
      if (slip < 0.03) return line.replace(/,yes,/, ',ye"s,');
      if (slip < 0.04) return `${line.slice(0, at)},${line.slice(at)}`;
      return slip < 0.05 ? line.slice(0, at) : line;
    });
    const text = `${head}\n${rows.join("\n")}\n`;
    const quick = await told(loadDigLog, text, kit, {});
    expect(quick).toBe(await told(loadDigLogStrictly, text, kit, {}));
    // 3 to 5 % of slips, some of them harmless: far from none and from half.
    expect(JSON.parse(quick).report.accounts[0].rejected).toBeGreaterThan(20);
    expect(await isLazy(text, kit, {})).toBe(true);
  });
});
