import { strToU8, zipSync } from "fflate";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { MACHINES_JSON } from "../log/_helpers.ts";
import { writers } from "../log/_formats.ts";
import { type Ended, filesOf, root } from "./_season.ts";

let room = "";
const machines = JSON.stringify({ ...MACHINES_JSON, machines: [MACHINES_JSON.machines[0]], settings: [] });
const HEADINGS = ["signal_id", "site", "readings_right", "readings_left", "metal", "note"];
const ROWS = [
  ["S1", "Hay wharf", "300-310", "305", "ferrous", ""],
  ["S2", "Hay wharf", "300", "~305", "ferrous", ""],
  ["S3", "Hay wharf", "300", "9999", "ferrous", ""],
  ["S4", "Hay wharf", "300", "305", "iron", "not a field"],
  ["S5", "Hay wharf", "300", "305", "", ""],
];

async function checkLog(...args: string[]): Promise<Ended> {
  const { code, stdout, stderr } = await new Deno.Command(Deno.execPath(), {
    args: ["run", "-A", "--no-lock", `${root}/lib/commands/check_log.ts`, ...args],
    cwd: room,
    env: { NO_COLOR: "1", INIT_CWD: room },
    stdin: "null",
  }).output();
  const decode = (bytes: Uint8Array) => new TextDecoder().decode(bytes);
  return { code, stdout: decode(stdout), stderr: decode(stderr) };
}

beforeAll(async () => {
  room = await Deno.makeTempDir();
  await Deno.writeTextFile(`${room}/machines.json`, machines);
  for (const name of ["csv", "xlsx", "ndjson"] as const) {
    await Deno.writeFile(`${room}/log.${name}`, writers[name](HEADINGS, ROWS));
  }
  const good = ROWS.slice(0, 2).map((row) => row.slice(0, 4));
  const csv = new TextDecoder().decode(writers.csv(HEADINGS.slice(0, 4), good));
  await Deno.mkdir(`${room}/elsewhere`);
  await Deno.writeFile(
    `${room}/elsewhere/log.zip`,
    zipSync({ "season/signals.csv": strToU8(csv), "season/machines.json": strToU8(machines) }),
  );
  await Deno.writeFile(`${room}/bad.csv`, writers.csv(HEADINGS, ROWS.slice(2, 4)));
});
afterAll(() => Deno.remove(room, { recursive: true }));

describe("check-log", () => {
  test("tells everything about a log with rejected rows, ends with 3, and writes nothing", async () => {
    const before = [...filesOf(room).keys()];
    const { code, stdout, stderr } = await checkLog("log.csv");
    expect(stdout).toBe(
      `log.csv (dig-log): 5 rows in: 3 accepted, 2 rejected, 0 blank, 0 planned; 2 cells corrected as told below

Taken for granted:
  3 x  The only machine of the machines file was taken, since the row names none
        first: log.csv, line 2
  1 x  Two numbers joined by a hyphen or by 'to' were read as the lowest and the highest reading
        first: log.csv, line 2, readings_right: "300-310"
  2 x  A signal with something found, but no word about digging, was taken as dug
        first: log.csv, line 2
  1 x  A number marked as rough was read as that number
        first: log.csv, line 3, readings_left: "~305"
  1 x  A signal with no word about digging and nothing found was taken as not dug
        first: log.csv, line 6
  3 x  Signals of one site, day, machine and observer without an outing_id were taken as one outing
        first: log.csv, line 2

Columns not used:
  log.csv: "note"; nearest field is notes

Outcomes:
       2  ferrous, by-evidence
       1  not-dug

Repeat noise:
  Machine A: readings that differ by more than 1 differ (one step of the scale: too few repeats to measure it)

Rejected rows (2), every rule that they break:
  log.csv, line 4, readings_left: a reading lies above the machine's scale, which ends at 600, got "9999"
  log.csv, line 5, metal: must be one of ferrous, non-ferrous, both, not-sure, got "iron"
`,
    );
    expect(stderr).toBe("2 rows were rejected. Nothing was written.\n");
    expect(code).toBe(3);
    expect([...filesOf(room).keys()]).toEqual(before);
  });

  test("says the same of a workbook and of lines of JSON, but for lines and what the reader noted", async () => {
    for (const name of ["xlsx", "ndjson"]) {
      const { code, stdout } = await checkLog(`log.${name}`);
      expect(code).toBe(3);
      expect(stdout).toContain(
        `log.${name} (dig-log): 5 rows in: 3 accepted, 2 rejected, 0 blank, 0 planned`,
      );
      expect(stdout).toContain(', metal: must be one of ferrous, non-ferrous, both, not-sure, got "iron"');
    }
  });

  test("takes an archive with its machines, ends with 0, and prints JSON", async () => {
    const { code, stdout, stderr } = await checkLog("elsewhere/log.zip", "--json");
    expect(stderr).toBe("Every row can be used or is blank or planned. Nothing was written.\n");
    expect(code).toBe(0);
    const { reports: [report] } = JSON.parse(stdout);
    expect(report.accounts).toEqual([
      {
        role: "dig-log",
        file: "log.zip/season/signals.csv",
        rows: 2,
        accepted: 2,
        rejected: 0,
        blank: 0,
        planned: 0,
        corrected: 2,
      },
    ]);
    for (const key of ["assumptions", "flags", "rejected", "ignored", "outcomes", "repeatNoise"]) {
      expect(Array.isArray(report[key])).toBe(true);
    }
  });

  test("ends with 1 where no row can be used, after the list of them", async () => {
    const { code, stdout, stderr } = await checkLog("bad.csv");
    expect([code, stdout]).toEqual([1, ""]);
    expect(stderr).toContain(
      "Rejected rows (2), every rule that they break:\n  bad.csv, line 2, readings_left:",
    );
    expect(stderr).toContain("Cannot use bad.csv: at least one row must be accepted, got 2 rejected");
  });

  test("passes options to the readers, and refuses values that they do not have", async () => {
    const large = await checkLog("log.csv", "--max-file-bytes", "100");
    expect([large.code, large.stderr]).toEqual([
      1,
      expect.stringMatching(
        /^Cannot read log\.csv: it must be 100 bytes or smaller, got \d+; raise maxFileBytes/,
      ),
    ]);
    const bad = await checkLog("log.csv", "--delimiter", "colon");
    expect([bad.code, bad.stderr]).toEqual([
      1,
      'Cannot use --delimiter: it must be one of comma, semicolon, tab, bar, got "colon"\n',
    ]);
    expect((await checkLog("log.csv", "--max-cells", "2x")).stderr).toBe(
      'Cannot use --max-cells: it must be a whole number above 0, with K, M or G behind it if need be, got "2x"\n',
    );
    expect((await checkLog("log.csv", "--max-depth", "1K")).stderr).toBe(
      'Cannot use --max-depth: it must be a whole number above 0 and up to 1000, got "1K"\n',
    );
    expect((await checkLog()).stderr).toBe("Cannot check: name a dig log, or a garden log with --trials\n");
  });
});
