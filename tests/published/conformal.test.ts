import { describe, expect, test } from "vitest";
import {
  chance,
  conformalCoverage,
  conformalScores,
  conformalSets,
  conformalThreshold,
  type Measure,
} from "../../lib/numbers/mod.ts";
import conformal from "./data/conformal.json" with { type: "json" };
import { expectAbsolute, expectRelative, valueOf } from "./_close.ts";

/** In the file 999 stands for a threshold that lets every class in. */
function expectThreshold(got: Measure, expected: number): void {
  if (expected === 999) expect(got).toMatchObject({ absent: "too few" });
  else expectAbsolute(valueOf(got), expected, 1e-12);
}

describe("24 calibration cases by hand", () => {
  const { data, expected } = conformal.hand;
  const plain = conformalScores(data.cal_prob, data.cal_label);
  const adaptive = conformalScores(data.cal_prob, data.cal_label, { kind: "adaptive" });
  const drawn = conformalScores(data.cal_prob, data.cal_label, { kind: "adaptive", randomisers: data.u_cal });
  test("scores", () => {
    expected.lac_scores.forEach((value, i) => expectAbsolute(plain[i], value, 1e-12));
    expected.aps_scores.forEach((value, i) => expectAbsolute(adaptive[i], value, 1e-12));
    expected.aps_random_scores.forEach((value, i) => expectAbsolute(drawn[i], value, 1e-12));
  });
  test.each([["alpha0.1", 0.1], ["alpha0.25", 0.25]] as const)("thresholds and sets, %s", (key, miss) => {
    const wanted = expected[key];
    const [q, qAdaptive, qDrawn] = [plain, adaptive, drawn].map((scores) => conformalThreshold(scores, miss));
    expectThreshold(q!, wanted.q_lac);
    expectThreshold(qAdaptive!, wanted.q_aps);
    expectThreshold(qDrawn!, wanted.q_aps_random);
    const byClass = [0, 1, 2].map((k) =>
      conformalThreshold(plain.filter((_, i) => data.cal_label[i] === k), miss)
    );
    byClass.forEach((threshold, k) => expectThreshold(threshold, wanted.q_mondrian_lac[k]!));
    expect(conformalSets(data.test_prob, [q!])).toEqual(wanted.sets_lac);
    expect(conformalSets(data.test_prob, [qAdaptive!], { kind: "adaptive" })).toEqual(wanted.sets_aps);
    expect(conformalSets(data.test_prob, [qAdaptive!], { kind: "adaptive", withCrossing: true })).toEqual(
      wanted.sets_aps_including_crossing,
    );
    expect(conformalSets(data.test_prob, [qDrawn!], { kind: "adaptive", randomisers: data.u_test })).toEqual(
      wanted.sets_aps_random,
    );
    expect(conformalSets(data.test_prob, byClass)).toEqual(wanted.sets_mondrian_lac);
  });
});

test("the law of coverage in closed form", () => {
  for (const { n, alpha, m } of conformal.law.data.cases) {
    const expected =
      (conformal.law.expected as Record<string, Record<string, number>>)[`n${n}_a${alpha}_m${m}`]!;
    const law = conformalCoverage(n, { miss: alpha, tests: m });
    if ("absent" in law) expect.fail(law.reason);
    expect(law.rank).toBe(expected.k);
    expectRelative(law.mean, expected.mean!, 1e-9);
    expectRelative(law.standardDeviation, expected.sd_beta!, 1e-9);
    expectRelative(law.testStandardDeviation, expected.sd_test_coverage!, 1e-9);
    expectRelative(law.belowLevel, expected.p_cov_below_1_minus_a!, 1e-9);
    expectRelative(law.low, expected.q05!, 1e-9);
    expectRelative(law.high, expected.q95!, 1e-9);
  }
});

test("coverage in a simulation of three classes: right overall, right by class only where calibrated by class", () => {
  const { data, expected } = conformal.simulation;
  const draws = (count: number, draw: ReturnType<typeof chance>) => {
    const y: number[] = [], p: number[][] = [];
    for (let i = 0; i < count; i++) {
      const u = draw.next();
      const k = u < data.priors[0]! ? 0 : u < data.priors[0]! + data.priors[1]! ? 1 : 2;
      const x = data.means[k]! + data.sd * draw.normal();
      const weights = data.means.map((mean, c) => data.priors[c]! * Math.exp(-((x - mean) ** 2) / 2));
      const sum = weights[0]! + weights[1]! + weights[2]!;
      y.push(k);
      p.push(weights.map((weight) => weight / sum));
    }
    return { y, p };
  };
  const coverages: number[] = [];
  const held = [[0, 0, 0], [0, 0, 0]], met = [0, 0, 0];
  for (let run = 0; run < data.repetitions; run++) {
    const draw = chance(1, "published/conformal", run);
    const calibration = draws(data.n_cal, draw), fresh = draws(data.n_test, draw);
    const scores = conformalScores(calibration.p, calibration.y);
    const one = [conformalThreshold(scores, data.alpha)];
    const byClass = [0, 1, 2].map((k) =>
      conformalThreshold(scores.filter((_, i) => calibration.y[i] === k), data.alpha)
    );
    let covered = 0;
    [one, byClass].forEach((thresholds, which) => {
      conformalSets(fresh.p, thresholds).forEach((set, i) => {
        if (!set.includes(fresh.y[i]!)) return;
        held[which]![fresh.y[i]!]!++;
        if (which === 0) covered++;
      });
    });
    for (const k of fresh.y) met[k]!++;
    coverages.push(covered / data.n_test);
  }
  const mean = coverages.reduce((sum, value) => sum + value, 0) / coverages.length;
  const sd = Math.sqrt(
    coverages.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (coverages.length - 1),
  );
  expectAbsolute(mean, expected.theory_mean, 0.003);
  expectRelative(sd, 0.025, 0.1);
  const rate = (which: number, k: number) => held[which]![k]! / met[k]!;
  expect(rate(0, 0)).toBeGreaterThan(0.97);
  expect(rate(0, 1)).toBeLessThan(0.85);
  expect(rate(0, 2)).toBeLessThan(0.85);
  for (let k = 0; k < 3; k++) {
    // Between 1 - alpha and that plus 1 / (cases of the class + 1), give or take the Monte Carlo error of 2000 runs.
    const cases = data.n_cal * data.priors[k]!;
    expect(rate(1, k)).toBeGreaterThan(0.9 - 0.003);
    expect(rate(1, k)).toBeLessThan(0.9 + 1 / (cases + 1) + 0.003);
  }
});
