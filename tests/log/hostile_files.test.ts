import { strToU8, zipSync } from "fflate";
import { expect, test } from "vitest";
import { FileFault, loadDigLog } from "../../lib/log/mod.ts";
import { bytesOf, oneMachine } from "./_helpers.ts";
import { gpx, workbook } from "./_formats.ts";

const HEAD = "signal_id,site,readings_right,readings_left";
const columns = 20_000;

/** Files made to be slow, to be large, or to mislead; each with what must be said of it. */
const HOSTILE: readonly (readonly [name: string, file: string, bytes: () => Uint8Array, says: RegExp])[] = [
  [
    "a million zeros in a file",
    "a.csv",
    () => new Uint8Array(1e6),
    /it must be text, got a NUL byte at byte 0, line 1/,
  ],
  [
    "a million quotes",
    "a.csv",
    () => bytesOf(`${HEAD}\n${'"'.repeat(1e6)}`),
    /must have as many cells as the heading row/,
  ],
  [
    "a million blank lines",
    "a.csv",
    () => bytesOf(`${HEAD}\n${"\n".repeat(1e6)}`),
    /0 rejected, 1000000 blank, 0 planned/,
  ],
  [
    "thirty thousand rows of one id",
    "a.csv",
    () => bytesOf(`${HEAD}\n${"S,A,3,3\r".repeat(30_000)}`),
    /got 29999 of 30000/,
  ],
  [
    "a readings cell of 800 kB",
    "a.csv",
    () => bytesOf(`${HEAD}\nS,A,${"3 ".repeat(4e5)},3\n`),
    /readings_right: must be 2000 characters or fewer/,
  ],
  ["a million brackets", "a.json", () => bytesOf("[".repeat(1e6)), /values must lie 50 deep or less/],
  [
    "a heading of its own for each of 5000 rows",
    "a.json",
    () => bytesOf(`[${Array.from({ length: 5000 }, (_, i) => `{"k${i}":1}`).join(",")}]`),
    /it must have 20000000 cells or fewer/,
  ],
  [
    "one element fifty thousand times",
    "a.gpx",
    () =>
      bytesOf(gpx(`<wpt lat="1" lon="2"><extensions>${"<t:a>1</t:a>".repeat(50_000)}</extensions></wpt>`)),
    /a waypoint may say one thing 100 times, got it more often on line 3/,
  ],
  [
    "twenty thousand attributes",
    "a.gpx",
    () => bytesOf(`<gpx ${Array.from({ length: 20_000 }, (_, i) => `a${i}="1"`).join(" ")}/>`),
    /it must be GPX 1\.1/,
  ],
  [
    "a hundred thousand merged cells",
    "a.xlsx",
    () =>
      workbook([{
        name: "A",
        rows: [HEAD.split(","), ...Array.from({ length: 1000 }, (_, i) => [`S${i}`, "A", "300", "310"])],
        after: `<mergeCells>${
          Array.from({ length: 100_000 }, (_, i) => `<mergeCell ref="A${3 + i % 1000}:B1048576"/>`).join("")
        }</mergeCells>`,
      }]),
    /no cell of a row may be merged with another/,
  ],
  [
    "an archive of half a gigabyte of zeros",
    "a.zip",
    () => zipSync({ "a.csv": new Uint8Array(2 ** 29 + 1) }, { level: 1 }),
    /it must unpack to 536870912 bytes or fewer, got more; raise maxUnpackedBytes/,
  ],
  [
    "an archive that is a workbook by name",
    "a.xlsx",
    () => zipSync({ "a.csv": strToU8(`${HEAD}\nS,A,3,3\n`) }),
    /an archive without one/,
  ],
];

test.each(HOSTILE)("a log is refused soon and clearly: %s", async (_, name, make, says) => {
  const bytes = make();
  const begun = performance.now();
  const fault = await loadDigLog({ name, bytes }, oneMachine).then(() => null, (error) => error);
  // Generous, for machines that do other things as well; each takes a second or less by itself.
  expect(performance.now() - begun).toBeLessThan(15_000);
  expect(fault).toBeInstanceOf(FileFault);
  expect(fault.message).toMatch(says);
});

test("twenty thousand odd headings, constructor and __proto__ among them, are listed and used for nothing", async () => {
  const odd = [
    "constructor",
    "__proto__",
    "hasOwnProperty",
    ...Array.from({ length: columns }, (_, i) => `col ${i}`),
  ];
  const text = `${HEAD},${odd.join(",")}\nS1,A,300,310,x,y,z${",".repeat(columns)}\n`;
  const { season, report } = await loadDigLog({ name: "a.csv", bytes: bytesOf(text) }, oneMachine);
  expect(season.signals.map(({ signal_id }) => signal_id)).toEqual(["S1"]);
  expect(report.ignored.slice(0, 3).map(({ heading }) => heading)).toEqual([
    "constructor",
    "__proto__",
    "hasOwnProperty",
  ]);
  expect(report.ignored.length).toBe(columns + 3);
});
