import { expect, test } from "vitest";
import { fitFieldRules } from "../../lib/decide/mod.ts";
import { loadDigLog, parseMachines } from "../../lib/log/mod.ts";
import { fieldCard } from "../../lib/writeup/field_card.ts";

const root = Deno.env.get("OVERIRON_ROOT") ?? Deno.cwd();
const machines = parseMachines(await Deno.readTextFile(`${root}/datasets/demo/machines.json`));
const bytes = await Deno.readFile(`${root}/datasets/demo/dig-log.csv`);
const { season } = await loadDigLog({ name: "dig-log.csv", bytes }, machines);
const rules = await fitFieldRules(season, { seed: 1, engine: "logistic" });

test("fieldCard() puts stop rules above the rule, shows every count, and says dig only where the counts carry it", () => {
  const rule = rules.rules[0]!;
  // Wilson 1927, from memory: 0 of 40 reaches up to 0.088, under 1 in 5; 40 of 40 down to 0.912; 1 of 3 from 0.06 to 0.79.
  const cells = [[{ ferrous: 40, good: 0 }, { ferrous: 2, good: 1 }], [{ ferrous: 0, good: 40 }, {
    ferrous: 0,
    good: 0,
  }]];
  const made = { ...rule, card: { readingBreaks: [210], spreadBreaks: [], cells } };
  const html = fieldCard({ ...rules, rules: [made] }, { by: "reading", worths: [5] });
  expect(html.indexOf("fuzed shell")).toBeLessThan(html.indexOf("<table"));
  expect(
    [...html.matchAll(/<td class="([a-z-]+)"><b>[a-z ]+<\/b><span>([^<]+)/g)].map((
      [, says, count],
    ) => [says, count]),
  ).toEqual([
    ["not-worth-a-hole", "0 good, 40 iron"],
    ["could-be-either", "1 good, 2 iron"],
    ["dig", "40 good, 0 iron"],
    ["no-case", "0 good, 0 iron"],
  ]);
  expect(html).toContain(`${rule.learntFrom.signals} dug signals at ${rule.learntFrom.sites} sites`);
  for (const word of ["straight line", "livestock", "toxic", "Bones", "undisturbed|nobody has disturbed"]) {
    expect(html.slice(0, html.indexOf("<h1"))).toMatch(new RegExp(word));
  }
});

test("fieldCard() takes no worth for granted: cells answer at three of them, once where one answer holds for all", () => {
  const rule = rules.rules[0]!;
  // Wilson's 95 % interval of 40 in 200 is 0.150 to 0.261 (Newcombe 1998, method 3): under 1 in 3, around 1 in 5, over 1 in 10.
  const cells = [[{ ferrous: 160, good: 40 }, { ferrous: 40, good: 0 }], [{ ferrous: 0, good: 40 }, {
    ferrous: 0,
    good: 0,
  }]];
  const made = { ...rules, rules: [{ ...rule, card: { readingBreaks: [210], spreadBreaks: [], cells } }] };
  const said = (html: string) =>
    [...html.matchAll(/<td class="([a-z-]+)"><b>([^<]+)<\/b><span>/g)].map(([, kind, text]) => [kind, text]);
  const html = fieldCard(made, { by: "reading" });
  expect(said(html)).toEqual([
    ["could-be-either", "3 no; 5 either; 10 dig"],
    ["not-worth-a-hole", "not worth a hole"],
    ["dig", "dig"],
    ["no-case", "no case"],
  ]);
  expect(html).toContain("cells answer for 3, 5 and 10 holes");
  const own = fieldCard(made, { by: "reading", worths: [10] });
  expect(said(own)[0]).toEqual(["dig", "dig"]);
  expect(own).toContain("A good find is worth 10 holes here, so a hole pays from 1 in 10.");
});

test("fieldCard() gives the reading's table, the step's, or both, on whole steps of the display", () => {
  const tables = (by?: "reading" | "step" | "both"): string[] => {
    const one = { ...rules, rules: [rules.rules[0]!] };
    const html = fieldCard(one, by === undefined ? {} : { by });
    return [...html.matchAll(/<thead><tr><th scope="col">([^<]+)/g)].map(([, heading]) => heading!);
  };
  expect(tables()).toEqual(["Middle of the passes", "Step over the iron"]);
  expect(tables("reading")).toEqual(["Middle of the passes"]);
  expect(tables("step")).toEqual(["Step over the iron"]);
  for (const { machine, card, stepCard } of rules.rules) {
    const { step } = rules.machines.machines.find((each) => each.machine === machine)!.scale;
    for (const counts of [card!, stepCard!]) {
      for (const at of counts.readingBreaks) expect(at / step).toBe(Math.round(at / step));
      expect(counts.cells).toHaveLength(counts.readingBreaks.length + 1);
    }
  }
  // A step needs three signals of iron at its site: never more signals than there are readings.
  const total = (counts: typeof rules.rules[0]["card"]) =>
    counts!.cells.flat().reduce((sum, { ferrous, good }) => sum + ferrous + good, 0);
  for (const rule of rules.rules) expect(total(rule.stepCard)).toBeLessThanOrEqual(total(rule.card));
  const without = fieldCard({ ...rules, rules: [{ ...rules.rules[0]!, stepCard: null }] });
  expect(without).toContain("Under 30 dug signals have a step over their site's iron: no table is printed.");
});

test("fieldCard() refuses a worth of 1 and a file without rules", () => {
  expect(() => fieldCard(rules, { worths: [5, 1] })).toThrow(
    "Cannot make a card: a good find must be worth more than 1 hole, got 1",
  );
  expect(() => fieldCard(rules, { worths: [] })).toThrow("must be worth more than 1 hole, got no worth");
  expect(() => fieldCard(rules, { by: "tone" as "step" })).toThrow(
    'Cannot make a card: "by" must be reading, step, both, got "tone"',
  );
  expect(() => fieldCard({ ...rules, rules: [] })).toThrow("Cannot make a card: need 1 rule or more, got 0");
});
