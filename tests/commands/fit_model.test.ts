import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { parseFieldRules } from "../../lib/decide/mod.ts";
import { filesOf, root } from "./_season.ts";
import { runTask } from "./_run_task.ts";

let room = "";
beforeAll(async () => {
  room = await Deno.makeTempDir();
  for (const name of ["machines.json", "dig-log.csv"]) {
    await Deno.copyFile(`${root}/datasets/demo/${name}`, `${room}/${name}`);
  }
});
afterAll(() => Deno.remove(room, { recursive: true }));

const run = (task: string, ...args: string[]) => runTask(task, room, args);
const refused = async (task: string, ...args: string[]): Promise<string> => {
  const before = filesOf(room);
  const { code, stderr } = await run(task, ...args);
  expect(code, stderr).toBe(1);
  expect(filesOf(room)).toEqual(before);
  return stderr;
};

describe("fit-model, and what takes its file to the field", () => {
  test("writes rules that say what they were learnt from; the phone page and the sheets take them", async () => {
    const { code, stderr } = await run(
      "fit-model",
      "dig-log.csv",
      "--out",
      "model.json",
      "--engine",
      "logistic",
    );
    expect(code, stderr).toBe(0);
    const rules = parseFieldRules(await Deno.readTextFile(`${room}/model.json`));
    expect(rules.rules.length).toBeGreaterThan(0);
    for (
      const { version, machine, learntFrom: { signals, ferrous, nonFerrous, maskedGood, sites } } of rules
        .rules
    ) {
      expect(ferrous + nonFerrous + maskedGood).toBe(signals);
      expect(stderr).toContain(`${version}: ${machine}`);
      expect(stderr).toContain(
        `from ${signals} dug signals (${ferrous} ferrous, ${nonFerrous} non-ferrous, ${maskedGood} masked good) at ${sites} sites`,
      );
    }
    const card = await Deno.readTextFile(`${room}/model-card.md`);
    expect(card.indexOf("STOP rules")).toBeLessThan(card.indexOf("## "));
    const log = await Deno.readFile(`${room}/dig-log.csv`);
    const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", log)).toHex();
    expect(card).toContain(`rows accepted, SHA-256 ${digest}`);
    for (const { version, learntFrom: { signals, sites } } of rules.rules) {
      expect(card).toMatch(
        new RegExp(`## ${version}[^#]*Learnt from ${signals} dug signals .* at ${sites} sites`),
      );
      expect(card).toMatch(
        new RegExp(`## ${version}[^#]*Validation on sites not learnt from, \\d+ folds: log loss`),
      );
    }
    for (const mine of ["Hay wharf", "Ines", "dig-log.csv", "2025-03-08"]) expect(card).not.toContain(mine);
    for (const { machine, discrimination } of rules.leftOut) {
      expect(stderr).toContain(`No rule for ${machine}, discrimination ${discrimination}: `);
    }
    const page = await run("phone-page", "--model", "model.json", "--out", "page.html");
    expect(page.code, page.stderr).toBe(0);
    for (const { version } of rules.rules) expect(page.stderr).toContain(version);
    const html = await Deno.readTextFile(`${room}/page.html`);
    expect(html.length).toBeLessThan(1_000_000);
    const sheets = await run("field-sheets", "--model", "model.json", "--out", "sheets");
    expect(sheets.code, sheets.stderr).toBe(0);
    const names = [...filesOf(`${room}/sheets`).keys()];
    for (
      const name of [
        "sheets-a4.html",
        "sheets-letter.html",
        "card.html",
        "signals.csv",
      ]
    ) {
      expect(names).toContain(name);
    }
    // Until a worth is set the card answers at three.
    const cardAt = async (...args: string[]) => {
      const made = await run("field-sheets", "--model", "model.json", "--out", "sheets", ...args);
      expect(made.code, made.stderr).toBe(0);
      return await Deno.readTextFile(`${room}/sheets/card.html`);
    };
    expect(await cardAt()).toContain("cells answer for 3, 5 and 10 holes");
    expect(await cardAt("--worths", "2,4")).toContain("cells answer for 2 and 4 holes");
    expect(await cardAt("--worth", "6")).toContain(
      "A good find is worth 6 holes here, so a hole pays from 1 in 6.",
    );
    // A log that was filled in is left as it is.
    await Deno.writeTextFile(`${room}/sheets/smallest-log.csv`, "signal_id,site\n1,K7\n");
    const again = await run("field-sheets", "--out", "sheets");
    expect(again.stderr).toContain("Left as they were, since they hold something: smallest-log.csv.");
    expect(await Deno.readTextFile(`${room}/sheets/smallest-log.csv`)).toBe("signal_id,site\n1,K7\n");
  });

  test("a model file that is not one, is cut off, of another version or for another machine is told plainly", async () => {
    const text = await Deno.readTextFile(`${room}/model.json`);
    // Other ways to be wrong are tried on parseFieldRules() itself.
    const files: Record<string, readonly [string, RegExp]> = {
      "not-one.json": [
        '{"a": 1}',
        /Cannot use .*not-one\.json: it must be a file of field rules, got another kind/,
      ],
      "half.json": [text.slice(0, text.length / 2), /got text that is not JSON, or was cut off/],
      "version.json": [
        text.replace("field-rules/1", "field-rules/7"),
        /another version \(overiron-field-rules\/7\)/,
      ],
    };
    for (const [name, [content, message]] of Object.entries(files)) {
      await Deno.writeTextFile(`${room}/${name}`, content);
      expect(await refused("phone-page", "--model", name, "--out", "page-2.html")).toMatch(message);
    }
    expect(await refused("field-sheets", "--model", "half.json", "--out", "sheets-2")).toMatch(/not JSON/);
    const machines = (await Deno.readTextFile(`${room}/machines.json`)).replaceAll("Machine ", "Engine ");
    await Deno.writeTextFile(`${room}/other-machines.json`, machines);
    expect(
      await refused(
        "phone-page",
        "--model",
        "model.json",
        "--machines",
        "other-machines.json",
        "--out",
        "page-2.html",
      ),
    )
      .toMatch(/the rules are for Machine A.*and the machines file describes Engine A, Engine B/);
  });

  test("a log too small to learn from ends with 3 and the reason, and writes no rules", async () => {
    const rows = (await Deno.readTextFile(`${room}/dig-log.csv`)).split(/\r?\n/).slice(0, 12).join("\n") +
      "\n";
    await Deno.writeTextFile(`${room}/small.csv`, rows);
    const before = filesOf(room);
    const { code, stderr } = await run("fit-model", "small.csv", "--out", "small.json");
    expect(code, stderr).toBe(3);
    expect(stderr).toContain("No rule was written: the log is too small to learn from.");
    expect(stderr).toMatch(/No rule for Machine A, discrimination none: .{20,}/);
    expect(filesOf(room)).toEqual(before);
  });

  test("bad options and a log that is not there are told, and nothing is written", async () => {
    expect(await refused("fit-model")).toContain("name a dig log");
    expect(await refused("fit-model", "dig-log.csv", "--engine", "oracle")).toContain(
      "must be one of base rates",
    );
    expect(await refused("fit-model", "nowhere.csv")).toContain("nowhere.csv");
    expect(await refused("field-sheets", "--worth", "1")).toContain(
      "must be a whole number of holes, 2 or more",
    );
    expect(await refused("phone-page", "--worth", "5", "--out", "page-2.html")).toContain(
      'Cannot use --worth: it is for the rule that --model names, got "5" and none',
    );
  });
});
