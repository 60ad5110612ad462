import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { permissionText } from "../../lib/commands/_permissions.ts";
import { helpOf, tasks } from "../../lib/commands/_tasks.ts";
import { CommandLineFault, fromHere, readCommandLine, seedOf } from "../../lib/commands/_command_line.ts";

const root = Deno.env.get("OVERIRON_ROOT") ?? Deno.cwd();
const decode = (bytes: Uint8Array): string => new TextDecoder().decode(bytes);

describe("a checkout without packages", () => {
  let bare = "";
  beforeAll(async () => {
    bare = await Deno.makeTempDir();
    await Deno.mkdir(`${bare}/lib/commands`, { recursive: true });
    for (const name of ["deno.json", "package.json", "package-lock.json"]) {
      await Deno.copyFile(`${root}/${name}`, `${bare}/${name}`);
    }
    for (
      const name of [
        "_start.ts",
        "_tasks.ts",
        "_permissions.ts",
        "_files_beside.ts",
        "_own_folder.ts",
        "_end_with_parent.ts",
      ]
    ) {
      await Deno.copyFile(`${root}/lib/commands/${name}`, `${bare}/lib/commands/${name}`);
    }
    await Deno.mkdir(`${bare}/lib/writeup`);
    await Deno.copyFile(`${root}/lib/writeup/light_memory.ts`, `${bare}/lib/writeup/light_memory.ts`);
  });
  afterAll(() => Deno.remove(bare, { recursive: true }));

  const run = async (...args: string[]) => {
    const { code, stdout, stderr } = await new Deno.Command(Deno.execPath(), {
      args: ["task", "--quiet", ...args],
      cwd: bare,
      env: { NO_COLOR: "1" },
    }).output();
    return { code, stdout: decode(stdout), stderr: decode(stderr) };
  };

  test("every task of deno.json has a help text, and --help installs nothing", async () => {
    const named = Object.keys(JSON.parse(await Deno.readTextFile(`${root}/deno.json`)).tasks);
    expect(named.sort()).toEqual(Object.keys(tasks).sort());
    for (const name of named) {
      const { code, stdout } = await run(name, "--help");
      expect(code).toBe(0);
      expect(stdout).toBe(`${helpOf(name)}\n${permissionText(name)}\n`);
    }
    expect([...Deno.readDirSync(bare)].map(({ name }) => name)).not.toContain("node_modules");
  });

  test("a help text says how to call the task and what each option means", () => {
    expect(helpOf("season")).toContain(
      "deno task season [DIG_LOG] [--trials GARDEN_LOG] [--machines FILE] [--out DIR]",
    );
    for (const option of Object.values(tasks.season!.options)) {
      expect(helpOf("season")).toContain(option.meaning);
    }
  });
});

describe("readCommandLine()", () => {
  test("reads files, values and switches", () => {
    const line = readCommandLine("season", ["a.csv", "--out", "x", "--strict"]);
    expect(line.files).toEqual(["a.csv"]);
    expect(line.values.out).toBe("x");
    expect([...line.switches]).toEqual(["strict"]);
  });
  test("refuses what a task does not take", () => {
    const wrong = (...args: string[]) => () => readCommandLine("season", args);
    expect(wrong("--bogus")).toThrow(CommandLineFault);
    expect(wrong("--bogus")).toThrow("Unknown option '--bogus'");
    expect(wrong("a", "b")).toThrow('Cannot use "b": season takes at most 1 file(s)');
    expect(wrong("--out")).toThrow("--out");
    expect(wrong("--out=")).toThrow("Cannot use --out: it needs a value");
  });
  test("seedOf() takes whole numbers of 0 or above only", () => {
    expect(seedOf(readCommandLine("season", []))).toBe(1);
    expect(seedOf(readCommandLine("season", ["--seed", "0"]))).toBe(0);
    for (const bad of ["1.5", "x", "1e3", "99999999999999999999"]) {
      expect(() => seedOf(readCommandLine("season", ["--seed", bad]))).toThrow(`got "${bad}"`);
    }
  });
  test("fromHere() takes paths from where the person stands", () => {
    const before = Deno.env.get("INIT_CWD");
    Deno.env.set("INIT_CWD", "/somewhere");
    expect(fromHere("log.csv")).toBe("/somewhere/log.csv");
    expect(fromHere("/abs/log.csv")).toBe("/abs/log.csv");
    if (before === undefined) Deno.env.delete("INIT_CWD");
    else Deno.env.set("INIT_CWD", before);
  });
});
