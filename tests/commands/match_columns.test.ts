import { afterAll, beforeAll, describe, expect, test } from "vitest";

const root = Deno.env.get("OVERIRON_ROOT") ?? Deno.cwd();
let folder = "";
beforeAll(async () => {
  folder = await Deno.makeTempDir();
  await Deno.copyFile(`${root}/datasets/demo/machines.json`, `${folder}/machines.json`);
  await Deno.writeTextFile(
    `${folder}/log.csv`,
    [
      "Nr;Ort;Datum;Hin;Rück;Tiefe;Gegraben;Fund",
      "1;Wiese;3.4.2025;410 412;405;4;ja;Kupferscheibe",
      "2;Wiese;5.4.2025;90;95;6;ja;Nagel",
      "3;Wiese;31.4.2025;90;95;6;nein;",
    ].join("\n"),
  );
});
afterAll(() => Deno.remove(folder, { recursive: true }));

const run = async (task: string, ...args: string[]) => {
  const { code, stdout, stderr } = await new Deno.Command(Deno.execPath(), {
    args: ["run", "-A", "--no-lock", `${root}/lib/commands/${task}.ts`, ...args],
    cwd: root,
    env: { INIT_CWD: folder },
    stdin: "null",
    stdout: "piped",
    stderr: "piped",
  }).output();
  return { code, out: new TextDecoder().decode(stdout), err: new TextDecoder().decode(stderr) };
};
const exists = (name: string): Promise<boolean> =>
  Deno.stat(`${folder}/${name}`).then(() => true, () => false);

describe("match-columns in a script", () => {
  test("never asks: it says what to add, writes nothing and ends with 1", async () => {
    const { code, err, out } = await run("match_columns", "log.csv");
    expect(code).toBe(1);
    expect(out).toBe("");
    expect(err).toContain('"Hin" -> readings_right');
    expect(err).toContain('in "columns": { "heading": "Tiefe", "field": "depth_cm" }');
    expect(err).toContain('in "constants": "machine": "Machine A"');
    expect(err).toContain("Nothing was written");
    expect(await exists("mapping.json")).toBe(false);
  });

  test("takes pasted lines, saves the whole mapping, and its own file again without a change", async () => {
    await Deno.writeTextFile(
      `${folder}/begun.json`,
      JSON.stringify({
        schema: "overiron-columns/1",
        columns: [{ heading: "Tiefe", field: "depth_cm", unit: "in" }, {
          heading: "Datum",
          order: "day-month-year",
        }],
        constants: { settings: "A-open" },
      }),
    );
    const first = await run("match_columns", "log.csv", "--columns", "begun.json");
    expect(first.err).toContain("The mapping:");
    expect(first.code).toBe(0);
    expect(first.err).toContain("A number in inches was converted to centimetres (3; first on line 2");
    expect(first.err).toContain("date, line 4: must be a day of the calendar, read as day, month, year, got");
    expect(first.err).toContain("Masked good, by evidence");
    const saved = await Deno.readTextFile(`${folder}/mapping.json`);
    expect(saved).toContain('{ "heading": "Tiefe", "field": "depth_cm", "unit": "in" }');
    expect(saved).toContain('{ "word": "Nagel", "metal": "ferrous", "keep": "no" }');
    const again = await run("match_columns", "log.csv", "--json");
    expect(again.code).toBe(0);
    expect(await Deno.readTextFile(`${folder}/mapping.json`)).toBe(saved);
    expect(JSON.parse(again.out).mapping).toEqual(
      JSON.parse(saved.replace(/\n}\n$/, ',"empty":[],"readings":{},"rule":{}}')),
    );
  });

  test("and check-log takes what it saved", async () => {
    const { code, out } = await run("check_log", "log.csv", "--columns", "mapping.json");
    expect(code).toBe(3);
    expect(out).toContain("3 rows in: 2 accepted, 1 rejected");
    expect(out).toContain("31.4.2025");
    const wrong = await run("check_log", "log.csv", "--columns", "machines.json");
    expect(wrong.code).toBe(1);
    expect(wrong.err).toContain("it must follow overiron-columns/1");
  });

  test("refuses a command line that says nothing, two things, or a folder that is not there", async () => {
    expect((await run("match_columns")).err).toBe("Cannot match columns: name a log\n");
    expect((await run("match_columns", "log.csv", "--table", "digs")).err).toContain(
      "must be one of signals",
    );
    expect((await run("match_columns", "log.csv", "--table", "trials")).err).toContain(
      "the mapping file says signals",
    );
    const { code, err } = await run(
      "match_columns",
      "log.csv",
      "--columns",
      "mapping.json",
      "--out",
      "none/mapping.json",
    );
    expect([code, err.includes("Cannot write")]).toEqual([1, true]);
    expect(
      (await run("check_log", "log.csv", "--trial-columns", "mapping.json", "--columns", "mapping.json")).err,
    ).toContain(
      "it is a mapping for a dig log, got another for it",
    );
  });
});
