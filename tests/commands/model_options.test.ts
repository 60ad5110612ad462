import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { type CommandLine, readCommandLine } from "../../lib/commands/_command_line.ts";
import { levelOf, worthsOf } from "../../lib/commands/_model_options.ts";
import { rerunWriteUp, type Results } from "../../lib/writeup/mod.ts";
import { exists, root, season } from "./_season.ts";

const line = (...args: string[]): CommandLine => readCommandLine("season", args);
const messageOf = (work: () => unknown): string => {
  try {
    return `no error: ${work()}`;
  } catch (error) {
    return (error as Error).message;
  }
};

describe("levelOf() and worthsOf()", () => {
  test("nothing given is nothing set", () => {
    expect([levelOf(line()), worthsOf(line())]).toEqual([undefined, undefined]);
  });
  test.each([["0.9", 0.9], [".5", 0.5], ["0.999", 0.999]])("--level %s", (text, level) => {
    expect(levelOf(line("--level", text))).toBe(level);
  });
  test.each(["0", "1", "1.5", "90", "-0.5", "0,9", "high", "1e-1", " "])("refuses --level %s", (text) => {
    expect(messageOf(() => levelOf(line(`--level=${text}`)))).toBe(
      `Cannot use --level: it must be a number above 0 and below 1, got "${text}"`,
    );
  });
  test("--worth is one, --worths are several, the smallest first", () => {
    expect(worthsOf(line("--worth", "5"))).toEqual([5]);
    expect(worthsOf(line("--worths", "10,2,5"))).toEqual([2, 5, 10]);
  });
  test.each(["1", "0", "2.5", "-3", "many", "3,5"])("refuses --worth %s", (text) => {
    expect(messageOf(() => worthsOf(line(`--worth=${text}`)))).toBe(
      `Cannot use --worth: it must be a whole number of holes, 2 or more, got "${text}"`,
    );
  });
  test.each(["1,5", "2,,5", "3,3", "2,3,4,5", "2;5", "two"])("refuses --worths %s", (text) => {
    expect(messageOf(() => worthsOf(line(`--worths=${text}`)))).toBe(
      `Cannot use --worths: it must be up to 3 different whole numbers of holes, 2 or more, with commas between, got "${text}"`,
    );
  });
  test("refuses both at once", () => {
    expect(messageOf(() => worthsOf(line("--worth", "5", "--worths", "2,3")))).toBe(
      'Cannot use --worth and --worths together: name your own worth or several to compare, got "5" and "2,3"',
    );
  });
});

describe("a season with a level and a worth of one's own", () => {
  let room = "", out = "";
  beforeAll(async () => {
    room = await Deno.makeTempDir();
    out = `${room}/own`;
  });
  afterAll(() => Deno.remove(room, { recursive: true }));

  test("shows every rule at that worth and sets at that level, and records both", async () => {
    const ended = await season(["--level", "0.8", "--worth", "4", "--out", out]);
    expect(ended.code, ended.stderr).toBe(0);
    const { results, tables } = JSON.parse(await Deno.readTextFile(`${out}/results.json`)) as Results;
    const worths = new Set(results.flatMap(({ of }) => of?.worth ?? []));
    expect([...worths]).toEqual(["4"]);
    const rules = results.filter(({ id }) => id === "decide.holes").map(({ of }) => of!.rule!);
    expect(rules.filter((rule) => rule.includes("worth"))).not.toEqual([]);
    for (const rule of rules) if (rule.includes("worth")) expect(rule).toMatch(/a good find worth 4 holes$/);
    for (const { id, of } of tables) if (id === "model.setSizes") expect(of!.level).toBe("80 %");
    const made = JSON.parse(await Deno.readTextFile(`${out}/provenance.json`));
    expect(made.parameters).toEqual({ level: 0.8, worths: [4] });
    expect(made.command).toBe("deno task season --level 0.8 --worth 4 --seed 1");
  });

  test("runs again the same, by what was recorded", async () => {
    const report = await rerunWriteUp(out, { root });
    expect(report).toMatchObject({ verdict: "same", hashes: [], failures: [] });
  });

  test("values that cannot be, and options without a dig log, end with status 1 and write nothing", async () => {
    const garden = `${root}/datasets/demo/garden-log.csv`, machines = `${root}/datasets/demo/machines.json`;
    const cases = [
      [["--level", "2"], 'Cannot use --level: it must be a number above 0 and below 1, got "2"'],
      [["--worths", "1"], "Cannot use --worths: it must be up to 3 different whole numbers"],
      [
        ["--trials", garden, "--machines", machines, "--worth", "5"],
        'Cannot use --worth: it is for the personal model, which needs a dig log, got "5" and none',
      ],
    ] as const;
    for (const [args, message] of cases) {
      const ended = await season([...args, "--out", `${room}/none`]);
      expect(ended.code).toBe(1);
      expect(ended.stderr).toContain(message);
      expect(exists(`${room}/none`)).toBe(false);
    }
  });
});
