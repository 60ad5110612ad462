import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { callOf, flagsOf, HANDED_ON, permissions, permissionTable } from "../../lib/commands/_permissions.ts";
import { tasks } from "../../lib/commands/_tasks.ts";

const root = Deno.env.get("OVERIRON_ROOT") ?? Deno.cwd();
const decode = (bytes: Uint8Array): string => new TextDecoder().decode(bytes);
const realPath = (path: string): string | null => {
  try {
    return Deno.realPathSync(path);
  } catch {
    return null;
  }
};
const cutDown = Object.keys(tasks).filter((name) =>
  name !== "setup" && permissions[name]?.everything === undefined
);

let place = "";
beforeAll(async () => {
  place = await Deno.realPath(await Deno.makeTempDir());
  for (const name of ["dig-log.csv", "garden-log.csv", "machines.json"]) {
    await Deno.copyFile(`${root}/datasets/demo/${name}`, `${place}/${name}`);
  }
  await Deno.mkdir(`${place}/temporary`);
});
afterAll(() => Deno.remove(place, { recursive: true }));

const flags = (name: string, args: readonly string[] = []): string[] =>
  flagsOf(
    name,
    callOf(name, args, { root, here: place, temporary: `${place}/temporary`, realPath }),
    Deno.execPath(),
  );
const run = async (flags: readonly string[], script: string, args: readonly string[] = []) => {
  const { code, stdout, stderr } = await new Deno.Command(Deno.execPath(), {
    args: ["run", ...flags, "--no-lock", script, ...args],
    cwd: root,
    env: { INIT_CWD: place, NO_COLOR: "1" },
    stdin: "null",
  }).output();
  return { code, stdout: decode(stdout), stderr: decode(stderr) };
};

test("every task is started alike, and what it may touch is stated", async () => {
  const { tasks: started } = JSON.parse(await Deno.readTextFile(`${root}/deno.json`));
  for (const [name, { command }] of Object.entries<{ command: string }>(started)) {
    expect(command).toBe(`deno run -RWE --allow-run --no-config --no-lock lib/commands/_start.ts ${name}`);
  }
  expect(Object.keys(tasks).filter((name) => permissions[name] === undefined)).toEqual(["setup"]);
});

describe("under its flags", () => {
  const PROBE = `const tried = {};
const attempt = async (name, work) => {
  try { await work(); tried[name] = true; } catch (error) {
    if (!(error instanceof Deno.errors.NotCapable) && !error.message.startsWith("Requires import access")) throw error;
    tried[name] = false;
  }
};
const [outside, temporary] = Deno.args;
await attempt("read", () => Deno.readTextFileSync(outside + "/private.txt"));
await attempt("write", () => Deno.writeTextFileSync(outside + "/written", ""));
await attempt("overwrite", () => Deno.openSync(outside + "/dig-log.csv", { append: true }).close());
await attempt("code", () => Deno.openSync(Deno.cwd() + "/lib/mod.ts", { append: true }).close());
await attempt("temporary", () => Deno.writeTextFileSync(temporary + "/written", ""));
await attempt("loopback", () => Deno.listen({ hostname: "127.0.0.1", port: 0 }).close());
await attempt("network", () => Deno.listen({ hostname: "0.0.0.0", port: 0 }).close());
await attempt("run", () => new Deno.Command("true").output());
await attempt("deno", () => new Deno.Command(Deno.execPath(), { args: ["--version"], stdout: "null" }).output());
await attempt("system", () => Deno.hostname());
await attempt("import", () => import("https://example.invalid/" + "a.ts"));
await attempt("signal", () => Deno.kill(Deno.ppid, "SIGCONT"));
console.log(JSON.stringify(tried));`;
  beforeAll(async () => {
    await Deno.writeTextFile(`${place}/probe.js`, PROBE);
    await Deno.writeTextFile(`${place}/private.txt`, "not named");
  });

  test.each(cutDown)("%s can do what its row says and no more", async (name) => {
    const { code, stdout, stderr } = await run(flags(name, ["dig-log.csv"]), `${place}/probe.js`, [
      place,
      `${place}/temporary`,
    ]);
    expect(stderr).toBe("");
    expect(code).toBe(0);
    const { run: starts } = permissions[name]!;
    const kernel = starts === "kernel";
    expect(JSON.parse(stdout)).toEqual({
      read: false,
      write: false,
      overwrite: false,
      code: false,
      temporary: kernel,
      loopback: kernel,
      network: false,
      run: false,
      deno: starts !== "none",
      system: false,
      import: false,
      signal: false,
    });
  });

  test("watch reads the folder of a notebook named by its path, behind a link its own too, and none for a bare name", async () => {
    const readable = (named: string): string[] =>
      flags("watch", [named]).find((flag) => flag.startsWith("--allow-read="))!.slice(13).split(",");
    await Deno.mkdir(`${place}/elsewhere`);
    await Deno.writeTextFile(`${place}/elsewhere/mine.ipynb`, "{}");
    await Deno.symlink(`${place}/elsewhere/mine.ipynb`, `${place}/linked.ipynb`);
    const there = await Deno.realPath(place);
    expect(readable("mine")).not.toContain(place);
    expect(readable("elsewhere/mine.ipynb")).toContain(`${place}/elsewhere`);
    expect(readable("linked.ipynb")).toEqual(expect.arrayContaining([place, `${there}/elsewhere`]));
  });

  test.each([
    ["check-log", ["dig-log.csv", "--trials", "garden-log.csv"], 3],
    ["merge-logs", ["a=dig-log.csv", "b=dig-log.csv", "--out", "both.csv", "--machines-out", "both.json"], 0],
    ["virtual-garden", ["--out", "not/there/yet"], 0],
    ["plan-garden", ["garden-log.csv", "--out", "plan"], 0],
    ["field-sheets", ["--out", "sheets"], 0],
    ["fit-model", ["dig-log.csv", "--engine", "logistic"], 0],
    ["phone-page", ["--machines", "machines.json", "--out", "phone/page.html"], 0],
    ["match-columns", ["dig-log.csv", "--out", "a-mapping.json"], 1], // it has a question
    ["data-dictionary", ["--check"], 0],
    ["prove-garden", ["--gardens", "1", "--dry"], 0],
    ["fuzz-logs", ["--count", "20"], 0],
  ])("%s does its work", async (name, args, status) => {
    const script = `${root}/lib/commands/${name.replaceAll("-", "_")}.ts`;
    const { code, stderr } = await run(flags(name, args), script, args);
    expect(stderr).not.toContain("--allow-");
    expect(code, stderr).toBe(status);
  }, 30_000);
});

describe("callOf() and flagsOf()", () => {
  const at = { root: "/kit", here: "/home/me", temporary: null, realPath: (path: string) => path };
  test("a task that writes nothing gets no flag to write, to connect or to start a program", () => {
    const given = flagsOf("check-log", callOf("check-log", ["logs/a.csv", "--columns=/m.json"], at), "/deno");
    expect(given).toEqual([
      "--no-prompt",
      "--allow-env",
      "--allow-read=/kit,/home/me/logs/a.csv,/home/me/logs/machines.json,/home/me/logs/mapping.json,/m.json,/machines.json,/mapping.json",
    ]);
  });
  test("a value that is no path, and what stands in a file's name, gives no right", () => {
    const call = callOf(
      "merge-logs",
      ["2024=old.csv", "b.csv", "--observers", "a=/etc", "--out", "c.csv"],
      at,
    );
    expect(call.named).toEqual([
      "/home/me/2024=old.csv",
      "/home/me/old.csv",
      "/home/me/b.csv",
      "/home/me/c.csv",
    ]);
    expect(call.option("out")).toBe("/home/me/c.csv");
    expect(callOf("season", ["--title", "/etc/passwd"], at).named).toEqual([]);
  });
  test("links are given as written and as they lead; a comma in a path widens to the folder above", () => {
    const linked = { ...at, realPath: (path: string) => path.replace("/home/me", "/data/me") };
    const call = callOf("check-log", ["a.csv"], linked);
    expect(flagsOf("check-log", call, "/deno")[2]).toContain("/home/me/a.csv,/data/me/a.csv");
    const comma = callOf("check-log", ["x/a,b/c.csv"], at);
    expect(flagsOf("check-log", comma, "/deno")[2]).toBe("--allow-read=/kit,/home/me/x");
  });
  test("where OUT's folders are not there yet, the topmost of them is what may be written", () => {
    const partly = { ...at, realPath: (path: string) => path.startsWith("/home/me/new") ? null : path };
    const call = callOf("virtual-garden", ["--out", "new/er/x"], partly);
    expect(flagsOf("virtual-garden", call, "/deno").at(-1)).toBe("--allow-write=/home/me/new");
  });
});

test("a task sees of the environment what it is handed and nothing else", async () => {
  const { code, stdout } = await new Deno.Command(Deno.execPath(), {
    args: ["task", "--quiet", "check-log", "dig-log.csv"],
    cwd: root,
    env: { INIT_CWD: place, SECRET_OF_MINE: "x", NO_COLOR: "1" },
    stdin: "null",
    stderr: "null",
  }).output();
  expect(code).toBe(3);
  expect(decode(stdout)).toContain("dig-log.csv");
  expect(HANDED_ON).not.toContain("SECRET_OF_MINE");
});

test("the README's table is this one", async () => {
  const lines = (await Deno.readTextFile(`${root}/README.md`)).split("\n");
  const from = lines.findIndex((line) => line.startsWith("| task | may read"));
  const table = permissionTable().split("\n");
  expect(lines.slice(from, from + table.length)).toEqual(table);
});
