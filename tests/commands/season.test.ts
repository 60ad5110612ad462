import { dirname } from "node:path";
import { parseHTML } from "linkedom";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { resultIds } from "../../lib/figures/mod.ts";
import { type Results, resultsSchema } from "../../lib/writeup/mod.ts";
import { type Ended, exists, filesOf, root, season } from "./_season.ts";

const demo = `${root}/datasets/demo`;
let room = "";
beforeAll(async () => {
  room = await Deno.makeTempDir();
});
afterAll(() => Deno.remove(room, { recursive: true }));

describe("the demo season, from logs to page", () => {
  let first: Ended, second: Ended;
  let results: Results;
  let page: Document;
  beforeAll(async () => {
    [first, second] = [
      await season(["--fresh", "--out", `${room}/one`]),
      await season(["--fresh", "--out", `${room}/deep/two`], {
        TZ: "Pacific/Auckland",
        LANG: "de_DE.UTF-8",
        LC_ALL: "de_DE.UTF-8",
      }),
    ];
    results = JSON.parse(await Deno.readTextFile(`${room}/one/results.json`));
    page = parseHTML(await Deno.readTextFile(`${room}/one/index.html`)).document as unknown as Document;
  });

  test("ends with status 0 and tells where to look and three numbers", () => {
    expect([first.code, second.code]).toEqual([0, 0]);
    expect(first.stderr).toContain(`The write-up: ${room}/one/index.html`);
    expect(results.headline).toHaveLength(3);
    expect(page.querySelectorAll(".numbers > div").length).toBe(3);
  });

  test("holds what a write-up holds", () => {
    const names = [...filesOf(`${room}/one`).keys()];
    for (
      const name of [
        "index.html",
        "results.json",
        "predictions.csv",
        "provenance.json",
        "data/datapackage.json",
        "data/signals.csv",
        "data/trials.csv",
        "notebooks/1-season.ipynb",
        "notebooks/2-test-garden.ipynb",
        "notebooks/3-tone-bands.ipynb",
        "notebooks/4-personal-model.ipynb",
        "notebooks/5-what-a-neighbour-does.ipynb",
      ]
    ) expect(names).toContain(name);
  });

  test("gives the same bytes in another folder, zone and locale", () => {
    const one = filesOf(`${room}/one`), two = filesOf(`${room}/deep/two`);
    expect([...two.keys()]).toEqual([...one.keys()]);
    for (const [name, bytes] of one) expect(`${name} ${two.get(name) === bytes}`).toBe(`${name} true`);
  });

  test("results.json keeps its contract: listed ids, sorted, each with value, interval and count or a reason", () => {
    expect(resultsSchema.safeParse(results).success).toBe(true);
    const ids = results.results.map((result) => result.id);
    expect(ids).toEqual([...ids].sort());
    for (const id of [...ids, ...results.tables.map((table) => table.id)]) {
      expect(resultIds[id]?.unit).toBeTypeOf("string");
    }
    for (const { inputs } of [results]) {
      for (const { rows, accepted, rejected, blank, planned } of inputs) {
        expect(Number(accepted) + Number(rejected) + Number(blank) + Number(planned)).toBe(rows);
      }
    }
    expect(ids.length).toBeGreaterThan(50);
  });

  test("every number in the page's sentences is in results.json, as shown", () => {
    const said = [...page.querySelectorAll("p.said, figcaption, caption")];
    expect(said.length).toBeGreaterThan(20);
    const known = new Map(results.results.map((result) => [`${result.id} ${about(result.of)}`, result]));
    let numbers = 0;
    for (const element of said) {
      for (const mark of [...element.querySelectorAll("data")]) {
        const title = mark.getAttribute("title")!;
        const [, id, of] = /^(\S+)(?: \((.*)\))?$/.exec(title)!;
        const result = known.get(`${id} ${of ?? ""}`);
        expect(result, title).toBeDefined();
        if (result && "value" in result) {
          expect(Number(mark.getAttribute("value"))).toBeCloseTo(result.value, 6);
        }
        numbers++;
        mark.textContent = "";
      }
    }
    expect(numbers).toBeGreaterThan(50);
    // Names of what a number is about ("under 2 cm"), the level of the intervals and ids of signals are no results.
    const names = [...new Set(results.results.flatMap((result) => Object.values(result.of ?? {})))]
      .sort((one, other) => other.length - one.length);
    const bare = said.filter((element) => element.matches("p.said")).map((element) =>
      names.reduce((text, name) => text.replaceAll(name, ""), element.textContent!.trim())
    ).filter((text) => /\d/.test(text.replace(/\b95\s%/g, "").replace(/\bs\d{3,}\b/g, "")));
    expect(bare).toEqual([]);
  });

  test("publishes nothing private", () => {
    const key = Deno.readTextFileSync(`${room}/one.rejected/published-ids.csv`);
    const secrets = key.split("\n").filter((line) => /^(site|observer)/.test(line)).map((line) =>
      line.split(",")[1]!
    );
    expect(secrets.length).toBeGreaterThan(8);
    const log = Deno.readTextFileSync(`${demo}/dig-log.csv`);
    for (const day of new Set(log.match(/\b20\d\d-\d\d-\d\d\b/g))) secrets.push(day);
    for (const [name, text] of filesOf(`${room}/one`)) {
      for (const secret of [...secrets, room, root, "dig-log.csv", "garden-log.csv"]) {
        expect(`${name}: ${text.includes(secret) ? secret : ""}`).toBe(`${name}: `);
      }
    }
  });

  test("sets faulty rows aside, whole, with line and reason, beside the write-up", () => {
    const [rejected] = results.inputs.filter(({ role }) => role === "dig-log").map(({ rejected }) =>
      Number(rejected)
    );
    const lines = Deno.readTextFileSync(`${room}/one.rejected/rejected-dig-log.csv`).trim().split("\n");
    expect(rejected).toBeGreaterThan(2);
    expect(lines).toHaveLength(rejected! + 1);
    expect(lines[0]).toMatch(/^rejected_file,rejected_line,rejected_reason,signal_id,/);
    expect(first.stderr).toContain(`${room}/one.rejected`);
  });

  test("the page has no script, a policy that forbids requests, and the STOP rules before any number", () => {
    const html = Deno.readTextFileSync(`${room}/one/index.html`);
    expect(page.querySelectorAll("script, iframe, object, link[rel=stylesheet]").length).toBe(0);
    expect(page.querySelector('meta[http-equiv="Content-Security-Policy"]')!.getAttribute("content"))
      .toContain("default-src 'none'");
    expect(html.indexOf("Anything that might explode")).toBeGreaterThan(0);
    expect(html.indexOf("Anything that might explode")).toBeLessThan(html.indexOf('class="numbers"'));
  });

  test("leaves the demo logs as they were", async () => {
    const { stdout } = await new Deno.Command("git", {
      args: ["status", "--porcelain", "datasets/demo"],
      cwd: root,
    }).output();
    expect(new TextDecoder().decode(stdout)).toBe("");
  });
});

const about = (of: Readonly<Record<string, string>> | undefined): string =>
  Object.entries(of ?? {}).map(([key, value]) => `${key}: ${value}`).join(", ");

describe("a person's own logs", () => {
  const machines = `${demo}/machines.json`;
  const file = (name: string, content: string | Uint8Array): string => {
    const path = `${room}/${name}`;
    Deno.mkdirSync(dirname(path), { recursive: true });
    if (typeof content === "string") Deno.writeTextFileSync(path, content);
    else Deno.writeFileSync(path, content);
    return path;
  };

  test("the smallest log works, alone; the notebooks whose log is missing are left out and named", async () => {
    const ended = await season([
      `${root}/datasets/smallest-log.csv`,
      "--machines",
      machines,
      "--out",
      `${room}/small`,
    ]);
    expect(ended.stderr).toContain("it needs a garden log");
    expect(ended.code).toBe(0);
    expect(exists(`${room}/small/notebooks/2-test-garden.ipynb`)).toBe(false);
    expect(Deno.readTextFileSync(`${room}/small/index.html`)).toContain("it needs a garden log");
    expect(exists(`${room}/small/data/trials.csv`)).toBe(false);
  });

  test("--list-only tells what would be published and what held back, and runs and writes nothing", async () => {
    const log = file(
      "listed/log.csv",
      "signal_id,site,site_private,machine,readings_right,readings_left,dug,result,metal,keep,reported,notes\n" +
        "1,Top field,,Machine A,300 301,302,yes,found,non-ferrous,yes,not-needed,by the oak\n" +
        "2,Low moor,yes,Machine A,300 301,302,no,,,,,\n" +
        "3,Top field,,Machine A,300 301,302,yes,found,non-ferrous,yes,no,\n",
    );
    const before = filesOf(room).size;
    const args = [
      log,
      "--machines",
      machines,
      "--out",
      `${room}/listed/out`,
      "--title",
      "About Top Field",
      "--list-only",
    ];
    const text = await season(args), json = await season([...args, "--json"]);
    expect([text.code, json.code]).toEqual([0, 0]);
    expect(text.stderr).toBe(
      "Nothing was run and nothing was written. Without --list-only the write-up is made.\n",
    );
    expect(text.stdout).toMatch(
      /PUBLISHED[^]*data\/signals\.csv[^]*HELD BACK[^]*\n {2}notes: 1\n[^]*LOOK AGAIN/,
    );
    expect(text.stdout).toContain("  signals of private sites or with a find still to be reported: 2\n");
    expect(text.stdout).toContain("  the title: a site's name: Top field\n");
    const { summary, leaks } = JSON.parse(json.stdout);
    expect(summary).toContain("Left out whole: 1 signals of private sites");
    expect(summary).toContain(
      "Held back until reported: 1 signals with a find that is kept and marked as not reported",
    );
    expect(leaks).toEqual([{ where: "the title", what: "a site's name", found: "Top field" }]);
    expect(filesOf(room).size).toBe(before);
    expect([...Deno.readDirSync(`${room}/listed`)].map(({ name }) => name)).toEqual(["log.csv"]);
    // The very same call without it makes what was told.
    const made = await season(args.slice(0, -1));
    expect(made.code).toBe(0);
    expect(`${text.stdout}`).toBe(Deno.readTextFileSync(`${room}/listed/out.rejected/what-is-published.txt`));
  });

  test("hostile text in a log is shown as text", async () => {
    const nasty = `<script>alert(1)</script>`;
    const head =
      "signal_id,site,machine,readings_right,readings_left,dug,result,metal,keep,tone_heard,notes,__proto__";
    const rows = Array.from(
      { length: 12 },
      (_, i) =>
        `=cmd()${i},"${nasty}",Machine A,300 30${i % 10},29${i % 10},yes,found,${
          i % 2 ? "ferrous" : "non-ferrous"
        },${i % 2 ? "no" : "yes"},"${nasty}",=cmd(),x`,
    );
    const ended = await season([
      file("nasty.csv", [head, ...rows].join("\n")),
      "--machines",
      machines,
      "--out",
      `${room}/nasty`,
    ]);
    expect(ended.code).toBe(0);
    for (const [name, text] of filesOf(`${room}/nasty`)) {
      expect(`${name} ${text.includes(nasty)}`).toBe(`${name} false`);
      expect(`${name} ${text.includes("=cmd()")}`).toBe(`${name} false`);
    }
  });

  test("--strict makes a faulty row a fault of the file", async () => {
    const ended = await season([
      "--strict",
      `${demo}/dig-log.csv`,
      "--machines",
      machines,
      "--out",
      `${room}/strict`,
    ]);
    expect(ended.code).toBe(1);
    expect(ended.stderr).toContain("strict allows no rejected row, got 5");
    expect(exists(`${room}/strict`)).toBe(false);
  });

  test("without a machines file: status 1 and a whole file to save", async () => {
    const log = file(
      "bare/log.csv",
      "signal_id,site,machine,readings_right,readings_left\n1,a,Machine Q,38 41,-7\n",
    );
    const ended = await season([log, "--out", `${room}/bare/out`]);
    expect(ended.code).toBe(1);
    const saved = JSON.parse(ended.stderr.slice(ended.stderr.indexOf("{\n")));
    expect(saved.machines[0].machine).toBe("Machine Q");
    expect(saved.machines[0].scale).toEqual({ low: -7, high: 41, step: 1 });
    file("bare/machines.json", JSON.stringify(saved));
    expect((await season([log, "--out", `${room}/bare/out`])).code).toBe(0);
  });

  const header = "signal_id,site,machine,readings_right,readings_left";
  const faults: readonly (readonly [string, () => string, RegExp])[] = [
    ["no file", () => `${room}/nothing.csv`, /Cannot read .*nothing\.csv.*no such file/],
    ["an empty file", () => file("empty.csv", ""), /empty\.csv/],
    [
      "a heading row only",
      () => file("head.csv", `${header}\n`),
      /it must have a data row, got a heading row only/,
    ],
    [
      "a missing column",
      () => file("column.csv", "signal_id,sight,machine,readings_right,readings_left\n1,a,Machine A,1,2\n"),
      /site.*"?sight"?/,
    ],
    [
      "an unknown machine",
      () => file("machine.csv", `${header}\n1,a,Machine Q,1,2\n`),
      /Machine Q[\s\S]*"scale"/,
    ],
    [
      "not UTF-8",
      () => file("latin.csv", new Uint8Array([...new TextEncoder().encode(`${header}\n1,caf`), 0xe9, 0x0a])),
      /UTF-8/,
    ],
    [
      "a quote never closed",
      () => file("quote.csv", `${header}\n1,a,Machine A,"3,4\n2,b,Machine A,5,6\n`),
      /quote.*line 2/is,
    ],
    [
      "more than half rejected",
      () => file("half.csv", `${header}\n1,a,Machine A,3,4\n2,a,Machine A,9999,4\n3,a,Machine A,9999,4\n`),
      /no more than half/,
    ],
    ["50 MB of one line", () => file("long.csv", "x".repeat(50_000_000)), /long\.csv/],
  ];
  for (const [name, make, message] of faults) {
    test(`${name}: status 1, a clear message, nothing written`, async () => {
      const before = filesOf(room).size;
      const path = make();
      const made = exists(path) ? 1 : 0;
      const ended = await season([path, "--machines", machines, "--out", `${room}/fault`]);
      expect(ended.stderr).toMatch(message);
      expect(ended.stderr).not.toContain("fault of ours");
      expect(ended.code).toBe(1);
      expect(ended.stdout).toBe("");
      expect(filesOf(room).size).toBeLessThanOrEqual(before + made);
      expect(exists(`${room}/fault`)).toBe(false);
    });
  }

  test("an output folder that cannot be written, or holds something else: status 1, nothing touched", async () => {
    const taken = `${room}/taken`;
    Deno.mkdirSync(taken);
    Deno.writeTextFileSync(`${taken}/mine.txt`, "mine");
    const ended = await season(["--out", taken]);
    expect(ended.code).toBe(1);
    expect(ended.stderr).toContain("holds something that is no write-up");
    const under = await season(["--out", `${taken}/mine.txt/out`]);
    expect(under.code).toBe(1);
    expect([...filesOf(taken)]).toEqual([["mine.txt", "mine"]]);
  });

  test("wrong command lines end with status 1", async () => {
    for (const args of [["--bogus"], ["a", "b"], ["--seed", "x"], ["--machines", machines]]) {
      const ended = await season(args);
      expect(ended.code).toBe(1);
      expect(ended.stderr).not.toContain("fault of ours");
    }
  });
});
