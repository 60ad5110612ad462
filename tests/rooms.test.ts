import { expect, test } from "vitest";

const root = Deno.env.get("OVERIRON_ROOT") ?? Deno.cwd();
const rooms = "numbers log sweep virtual garden tones model decide figures writeup commands".split(" ");

interface Source {
  readonly path: string;
  readonly text: string;
}

function sources(folder: string): Source[] {
  return [...Deno.readDirSync(`${root}/${folder}`)].sort((a, b) => a.name < b.name ? -1 : 1).flatMap(
    (entry) => {
      const path = `${folder}/${entry.name}`;
      if (entry.isDirectory) return sources(path);
      return path.endsWith(".ts") ? [{ path, text: Deno.readTextFileSync(`${root}/${path}`) }] : [];
    },
  );
}

const lib = sources("lib");

/** Source text without comments, so that an example in a doc comment is not taken for code. */
const code = (text: string): string => text.replace(/\/\*[\s\S]*?\*\//g, "").replace(/^\s*\/\/.*$/gm, "");

const importsOf = (text: string): string[] =>
  [...code(text).matchAll(/(?:from\s+|import\s+|import\()\s*"([^"]+)"/g)].map((match) => match[1]!);

test("a room imports only from the rooms before it, and never another room's private files", () => {
  const wrong: string[] = [];
  for (const { path, text } of lib) {
    const room = path.split("/")[1]!;
    if (!rooms.includes(room)) continue;
    for (const target of importsOf(text)) {
      if (!target.startsWith(".")) continue;
      const resolved = new URL(target, `file:///${path}`).pathname.slice(1);
      if (resolved.startsWith("shared/")) continue;
      const other = resolved.split("/")[1]!;
      if (other === room && resolved.startsWith("lib/")) continue;
      const earlier = rooms.includes(other) && rooms.indexOf(other) < rooms.indexOf(room);
      if (!resolved.startsWith("lib/") || !earlier || /\/_[^/]*$/.test(resolved)) {
        wrong.push(`${path} imports ${target}`);
      }
    }
  }
  expect(wrong).toEqual([]);
});

test("the public list holds no logic and reaches no further than figures", () => {
  const text = lib.find(({ path }) => path === "lib/mod.ts")!.text;
  const lines = text.split("\n").filter((line) => line.trim() !== "");
  for (const line of lines) expect(line).toMatch(/^export \* from "\.\/[a-z]+\/mod\.ts";$/);
  expect(text).not.toMatch(/writeup|commands/);
});

test("each room's mod.ts is a list without logic", () => {
  for (const { path, text } of lib.filter(({ path }) => /^lib\/[a-z]+\/mod\.ts$/.test(path))) {
    for (const line of code(text).split(/;\s*/).map((part) => part.trim()).filter(Boolean)) {
      expect(`${path}: ${line}`).toMatch(/: export (type )?(\*|\{[^}]*\}) from "\.\/[a-z_0-9]+\.ts"$/);
    }
  }
});

test("nothing in lib/ depends on the clock, the locale, the zone or unseeded chance", () => {
  const forbidden =
    /Math\.random|\bIntl\b|\.toLocale|localeCompare|Date\.now|new Date\(\)|\.get(FullYear|Month|Date|Day|Hours|Minutes|Seconds|TimezoneOffset)\(/;
  const wrong = lib.filter(({ text }) => forbidden.test(code(text))).map(({ path, text }) =>
    `${path}: ${forbidden.exec(code(text))![0]}`
  );
  expect(wrong).toEqual([]);
});

test("importing the bare library loads no data frames, no kernel client and no parser", async () => {
  const { stdout } = await new Deno.Command(Deno.execPath(), {
    args: ["info", "--json", "lib/mod.ts"],
    cwd: root,
    stdout: "piped",
    stderr: "null",
  }).output();
  const graph = JSON.parse(new TextDecoder().decode(stdout)) as {
    roots: string[];
    modules: {
      specifier: string;
      dependencies?: { specifier: string; code?: { specifier: string }; isDynamic?: boolean }[];
    }[];
  };
  const modules = new Map(graph.modules.map((module) => [module.specifier, module]));
  const statics: string[] = [], seen = new Set<string>(), open = [...graph.roots];
  while (open.length > 0) {
    const at = open.pop()!;
    if (seen.has(at)) continue;
    seen.add(at);
    for (const { specifier, code, isDynamic } of modules.get(at)?.dependencies ?? []) {
      if (isDynamic || !code) continue; // without code it is imported for its types only
      statics.push(specifier);
      open.push(code.specifier);
    }
  }
  for (
    const heavy of [
      "danfojs",
      "zeromq",
      "csv-parse",
      "csv-parse/sync",
      "fflate",
      "saxes",
      "read-excel-file/universal",
      "ml-random-forest",
    ]
  ) {
    expect(statics).not.toContain(heavy);
  }
});
