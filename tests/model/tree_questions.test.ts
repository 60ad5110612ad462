import { describe, expect, test } from "vitest";
import { outcomeForest, outcomeTree } from "../../lib/model/forest.ts";
import { learningTables } from "../../lib/model/season_tables.ts";
import { treeQuestions } from "../../lib/model/tree_questions.ts";
import { madeSeason } from "./_season.ts";

const table = learningTables(madeSeason({ signals: 300, sites: 10 }))[0]!;
const features = ["centre", "spread", "turnChange"];
const model = outcomeTree({ features }).fit(table.x, table.outcome, { seed: 1 });
const steps = treeQuestions(model.toJSON(), table);

describe("treeQuestions()", () => {
  test("every signal starts at the top and comes to one end; a question parts those above it", () => {
    const sum = (counts: readonly number[]) => counts.reduce((total, count) => total + count, 0);
    expect(sum(steps[0]!.counts)).toBe(table.x.n);
    expect(steps.filter(({ end }) => end).reduce((total, { counts }) => total + sum(counts), 0)).toBe(
      table.x.n,
    );
    steps.forEach((step, i) => {
      if (step.end) return;
      const below: typeof steps[number][] = [];
      for (let at = i + 1; at < steps.length && steps[at]!.depth > step.depth; at++) {
        if (steps[at]!.depth === step.depth + 1) below.push(steps[at]!);
      }
      expect(below.length).toBe(2);
      expect([0, 1, 2].map((k) => below[0]!.counts[k]! + below[1]!.counts[k]!)).toEqual([...step.counts]);
    });
  });
  test("the ends give the very chances of the model: shares of their signals, lifted off nought", () => {
    const p = model.probabilities(table.x), n = table.x.n;
    const given = new Set(
      Array.from({ length: n }, (_, i) => [0, 1, 2].map((k) => p[3 * i + k]!.toFixed(9)).join()),
    );
    const ends = steps.filter(({ end }) => end).map(({ counts }) => {
      const all = counts[0] + counts[1] + counts[2];
      return counts.map((count) => ((n * count / all + 1) / (n + 3)).toFixed(9)).join();
    });
    for (const chances of given) expect(ends).toContain(chances);
  });
  test("refuses a forest and a table without the features", () => {
    const forest = outcomeForest({ features, trees: 3 }).fit(table.x, table.outcome, { seed: 1 });
    expect(() => treeQuestions(forest.toJSON(), table)).toThrow(
      "Cannot read tree: the model must hold one tree, got 3",
    );
    const bare = { ...table, x: { ...table.x, names: [], columns: [], whyMissing: [] } };
    expect(() => treeQuestions(model.toJSON(), bare)).toThrow(
      /^Cannot read tree: the table needs the feature/,
    );
  });
});
