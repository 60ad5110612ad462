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
  const html = fieldCard({ ...rules, rules: [made] });
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
});

test("fieldCard() refuses a worth of 1 and a file without rules", () => {
  expect(() => fieldCard(rules, { holesWorth: 1 })).toThrow(
    "Cannot make a card: a good find must be worth more than 1 hole, got 1",
  );
  expect(() => fieldCard({ ...rules, rules: [] })).toThrow("Cannot make a card: need 1 rule or more, got 0");
});
