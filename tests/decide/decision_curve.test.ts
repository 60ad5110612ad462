import { describe, expect, test } from "vitest";
import { CURVE_WORTHS, decisionCurve } from "../../lib/decide/decision_curve.ts";
import { worthRule } from "../../lib/decide/worth_rule.ts";
import { learningTables, studyTable } from "../../lib/model/mod.ts";
import { netBenefit } from "../../lib/numbers/mod.ts";
import { decideCurve, decideCurveTable } from "../../lib/figures/mod.ts";
import { madeSeason } from "../model/_season.ts";

const [table] = learningTables(madeSeason({ signals: 300, seed: 3 }));
const study = await studyTable(table!, { seed: 1, askSecondOpinion: false });
const curve = decisionCurve(study)!;

describe("decisionCurve()", () => {
  test("is the net benefit of Vickers and Elkin (2006) in a hundred signals, for each rule at each worth", () => {
    const engine = study.outOfFold.find(({ name }) => name === curve.model)!;
    if (engine.kind !== "predicted") throw new Error("no predictions");
    const { outcome, x } = table!;
    const good = Array.from(outcome, (code) => code === 0 ? 0 : 1) as number[];
    const events = good.reduce((sum, each) => sum + each, 0);
    for (const { worth, threshold, rules } of curve.points) {
      const digs = worthRule(engine.probabilities, worth);
      const truePositives = digs.filter((dig, i) => dig === 1 && good[i] === 1).length;
      const falsePositives = digs.filter((dig, i) => dig === 1 && good[i] === 0).length;
      const told = netBenefit({ n: x.n, events, truePositives, falsePositives, threshold });
      if ("absent" in told) throw new Error(told.reason);
      expect(rules[0]!.net).toMatchObject({ value: expect.closeTo(100 * told.rule, 9) });
      const all = rules.find(({ rule }) => rule === "dig everything")!;
      expect(all.net).toMatchObject({ value: expect.closeTo(100 * told.actOnAll, 9) });
      expect(all.modelGain).toMatchObject({ value: expect.closeTo(100 * (told.rule - told.actOnAll), 9) });
    }
    expect(curve.points.map(({ worth }) => worth)).toEqual(CURVE_WORTHS);
  });

  test("meets digging everything where a good signal is worth so much that every chance pays", () => {
    const [point] = decisionCurve(study, { worths: [1e6] })!.points;
    expect(point!.rules.find(({ rule }) => rule === "dig everything")!.modelGain).toMatchObject({ value: 0 });
  });

  test("refuses a worth of one hole, and draws no curve without a model", () => {
    expect(() => decisionCurve(study, { worths: [1] })).toThrow("must be worth more than 1 hole, got 1");
    expect(decisionCurve({ ...study, recommendation: null })).toBeNull();
  });

  test("is drawn with a line a rule, and told in a row a worth", () => {
    const svg = decideCurve(curve, { machine: "Machine A" });
    for (const rule of ["dig everything", "dig above the iron break", "dig what I called good"]) {
      expect(svg).toContain(rule);
    }
    const { text, recorded } = decideCurveTable(table!, curve);
    expect(text.split("\n").filter((line) => /^\d+ holes \|/.test(line))).toHaveLength(3);
    expect(recorded.results).toHaveLength(3 * (2 + 3));
  });
});
