import fc from "fast-check";
import { zipSync } from "fflate";
import {
  FIELDS,
  FileFault,
  FORMATS,
  loadDigLog,
  loadGardenLog,
  type LogFile,
  type LogFile as File,
  readTable,
} from "../../lib/log/mod.ts";
import { bytesOf, oneMachine } from "./_helpers.ts";
import { fileNames, workbook, writers } from "./_formats.ts";

const SIGNAL_HEADINGS = [
  "signal_id",
  "site",
  "readings_right",
  "readings_left",
  "machine",
  "date",
  "dug",
  "metal",
  "keep",
  "depth_cm",
  "passes_right",
  "metal_2",
  "outcome_stated",
  "latitude",
];
const TRIAL_HEADINGS = FIELDS.trial.filter(({ need }) => need === "needed").map(({ name }) => name);
const ODD_HEADINGS = [
  "constructor",
  "__proto__",
  "toString",
  "notes",
  "Signal ID",
  "site_private",
  "rejected_reason",
  "merged_from",
];

const cell = fc.oneof(
  {
    weight: 6,
    arbitrary: fc.constantFrom(
      "300",
      "300 310",
      "x",
      "305 x 2",
      "38-42",
      "",
      "A",
      "Hay wharf",
      "yes",
      "no",
      "ferrous",
      "2025-03-08",
      "12",
      "0.5",
      "1,5",
      "Machine A",
    ),
  },
  {
    weight: 2,
    arbitrary: fc.string({
      unit: fc.constantFrom(
        "1",
        "-",
        "x",
        " ",
        ",",
        ";",
        ".",
        "~",
        "a",
        '"',
        "'",
        "=",
        "\n",
        "é",
        "\u2212",
        "<",
        "&",
        "|",
      ),
      maxLength: 8,
    }),
  },
  { weight: 1, arbitrary: fc.string({ unit: "grapheme", maxLength: 12 }) },
);

const readings = fc.constantFrom("300", "300 310", "x", "305 x 2", "38-42", "~40", "300 x 320");
const word = (...words: string[]) => fc.constantFrom("", ...words);
/** What each column may soundly hold. */
const SOUND: ReadonlyMap<string, fc.Arbitrary<string>> = new Map([
  ["signal_id", fc.nat(500).map((n) => `S${n}`)],
  ["trial_id", fc.nat(500).map((n) => `T${n}`)],
  ["site", fc.constantFrom("A", "Hay wharf", "Øster mølle")],
  ["readings_right", readings],
  ["readings_left", readings],
  ["machine", word("Machine A", "machine a")],
  ["date", word("2025-03-08", "2024-02")],
  ["dug", word("yes", "no", "stopped")],
  ["metal", word("ferrous", "non-ferrous", "both", "Not sure")],
  ["metal_2", word("ferrous", "non-ferrous")],
  ["keep", word("yes", "no", "hazard")],
  ["depth_cm", word("12", "0.5", "7")],
  ["outcome_stated", word("ferrous", "masked-good", "unknown")],
  ["latitude", word("1.5", "-2")],
  ["target", word("disc", "none")],
  ["neighbour", word("nail", "none")],
  ["gap_cm", word("4", "0", "2.5")],
]);

const rowOf = (headings: readonly string[], odd: number) =>
  fc.tuple(...headings.map((name) => {
    const sound = SOUND.get(name);
    return sound === undefined
      ? cell
      : fc.oneof({ weight: 40, arbitrary: sound }, { weight: odd, arbitrary: cell });
  }));

const table = fc.record({
  headings: fc.uniqueArray(
    fc.oneof({ weight: 8, arbitrary: fc.constantFrom(...SIGNAL_HEADINGS) }, {
      weight: 1,
      arbitrary: fc.constantFrom(...ODD_HEADINGS),
    }),
    { maxLength: 8 },
  ).map((extra) => [...new Set(["signal_id", "site", "readings_right", "readings_left", ...extra])]),
  trials: fc.boolean(),
  odd: fc.constantFrom(0, 1, 1, 5),
}).chain(({ headings, trials, odd }) => {
  const names = trials ? TRIAL_HEADINGS : headings;
  return fc.record({ names: fc.constant(names), rows: fc.array(rowOf(names, odd), { maxLength: 8 }) });
});

const SOUP = {
  csv: [
    ",",
    ";",
    "\t",
    "|",
    '"',
    "'",
    "\n",
    "\r\n",
    "\r",
    "signal_id",
    "site",
    "readings_right",
    "readings_left",
    "300",
    "x",
    " ",
    "\u0000",
    "\ufeff",
    "a\n",
  ],
  json: [
    "{",
    "}",
    "[",
    "]",
    ",",
    ":",
    '"signal_id"',
    '"site"',
    '"readings_right"',
    '"readings_left"',
    "300",
    '"x"',
    "null",
    "true",
    "\n",
    '"',
    '{"type":"FeatureCollection","features":[',
  ],
  gpx: [
    '<gpx version="1.1" creator="a" xmlns="http://www.topografix.com/GPX/1/1">',
    "</gpx>",
    '<wpt lat="1" lon="2">',
    "</wpt>",
    "<name>",
    "</name>",
    "<ele>",
    "</ele>",
    "1",
    "&amp;",
    "&x;",
    "<!DOCTYPE a>",
    "<extensions>",
    "</extensions>",
    "<![CDATA[",
    "]]>",
    "<!--",
    "-->",
    "<?x?>",
  ],
} as const;

const soup = fc.constantFrom("csv" as const, "json" as const, "gpx" as const).chain((kind) =>
  fc.array(fc.constantFrom(...SOUP[kind]), { maxLength: 30 }).map((parts) => ({
    name: `log.${kind}`,
    bytes: bytesOf(parts.join("")),
  }))
);

const written = fc.record({ table, format: fc.constantFrom(...FORMATS), cut: fc.constantFrom(0, 0, 0, 1, 2) })
  .map(
    ({ table: { names, rows: even }, format, cut }): File => {
      // Some rows are written shorter than the heading row.
      const rows = even.map((row, i) => i % 2 === 0 ? row : row.slice(0, row.length - cut));
      const ragged = cut > 0;
      const name = fileNames[format];
      if (!ragged) return { name, bytes: writers[format](names, even) };
      if (format === "csv") {
        const text = [names, ...rows].map((row) =>
          row.map((each) => /[",\n\r]/.test(each) ? `"${each.replaceAll('"', '""')}"` : each).join(",")
        ).join("\n");
        return { name, bytes: bytesOf(text) };
      }
      if (format === "xlsx") {
        return { name, bytes: workbook([{ name: "A", rows: [names, ...rows] }, { name: "B", rows: [] }]) };
      }
      if (format === "zip") {
        return {
          name,
          bytes: zipSync({
            "signals.csv": writers.csv(names, even),
            "finds.json": writers.json(["hole_id", "metal"], rows.map((row) => [row[0] ?? "", row[1] ?? ""])),
          }),
        };
      }
      return { name, bytes: writers[format](names, even) };
    },
  );

/** Bytes with pieces cut, doubled, overwritten or put in. */
const broken = fc.record({
  file: written,
  changes: fc.array(
    fc.record({
      at: fc.double({ min: 0, max: 1, noNaN: true }),
      kind: fc.nat(3),
      byte: fc.nat(255),
      length: fc.nat(40),
    }),
    { maxLength: 3 },
  ),
}).map(({ file, changes }): File => {
  let bytes = file.bytes;
  for (const { at, kind, byte, length } of changes) {
    const from = Math.floor(at * bytes.length), to = Math.min(bytes.length, from + length);
    const middle = kind === 0
      ? []
      : kind === 1
      ? [byte]
      : kind === 2
      ? [...bytes.subarray(from, to), ...bytes.subarray(from, to)]
      : [...bytes.subarray(from, to), byte];
    bytes = Uint8Array.from([
      ...bytes.subarray(0, from),
      ...middle,
      ...bytes.subarray(kind === 1 ? Math.min(from + 1, bytes.length) : to),
    ]);
  }
  return { ...file, bytes };
});

const noise = fc.record({
  name: fc.constantFrom("log", "log.csv", "log.xlsx", "log.json", "log.gpx", "log.zip", "log.ndjson"),
  head: fc.constantFrom("", "PK\u0003\u0004", "{", "[", "<gpx ", "\ufeff", "signal_id,site\n"),
  rest: fc.uint8Array({ maxLength: 60 }),
}).map(({ name, head, rest }): File => ({ name, bytes: Uint8Array.from([...bytesOf(head), ...rest]) }));

/** Files of every format: sound ones, odd ones, broken ones, and noise. */
export const generatedFile: fc.Arbitrary<File> = fc.oneof(
  { weight: 4, arbitrary: written },
  { weight: 4, arbitrary: broken },
  { weight: 3, arbitrary: soup },
  { weight: 1, arbitrary: noise },
);

/** What came of a file: loaded, or refused; with how many milliseconds it took. */
export interface FileOutcome {
  readonly loaded: number;
  readonly refused: number;
  readonly ms: number;
}

/** Loads a file as a dig log and as a garden log. Throws where either crashes, or an account does not balance. */
export async function tryFile(file: LogFile): Promise<FileOutcome> {
  const begun = performance.now();
  let loaded = 0, refused = 0;
  for (
    const load of [
      async () => {
        const { season, report } = await loadDigLog(file, oneMachine);
        return { report, accepted: season.signals.length, role: "dig-log" };
      },
      async () => {
        const { garden, report } = await loadGardenLog(file, oneMachine);
        return { report, accepted: garden.trials.length, role: "garden-log" };
      },
    ]
  ) {
    try {
      const { report, accepted, role } = await load();
      loaded++;
      for (const account of report.accounts) {
        const sum = account.accepted + account.rejected + account.blank + account.planned;
        const rejected = report.rejected.filter((row) =>
          row.role === account.role && row.file === account.file
        );
        if (sum !== account.rows || rejected.length !== account.rejected) {
          throw new Error(`The account does not balance: ${JSON.stringify(account)}`);
        }
      }
      const own = report.accounts.find((account) => account.role === role);
      if (own?.accepted !== accepted) {
        throw new Error(`Accepted rows were lost: ${JSON.stringify(own)}, ${accepted}`);
      }
      if (report.accounts.length === 1) {
        const { rowCount } = await readTable(file).catch(() => ({ rowCount: own.rows }));
        if (rowCount !== own.rows) {
          throw new Error(`Rows were lost: ${rowCount} in the table, ${own.rows} in the account`);
        }
      }
      // What is reported must be sayable.
      JSON.stringify(report);
    } catch (error) {
      if (!(error instanceof FileFault)) throw error;
      if (!/^Cannot (?:read|use) /.test(error.message)) {
        throw new Error(`An unclear message: ${error.message}`);
      }
      refused++;
    }
  }
  return { loaded, refused, ms: performance.now() - begun };
}
