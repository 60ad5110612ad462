import { expect, test } from "vitest";
import {
  blockPermutationTest,
  inverseProbabilityMean,
  kruskalWallisTest,
  mcnemarTest,
  netBenefit,
  pairedTest,
  signFlipTest,
  welchTest,
} from "../../lib/numbers/mod.ts";
import mcnemar from "./data/mcnemar.json" with { type: "json" };
import benefit from "./data/net_benefit.json" with { type: "json" };
import ranks from "./data/ranks.json" with { type: "json" };
import resampling from "./data/resampling.json" with { type: "json" };
import weighting from "./data/weighting.json" with { type: "json" };
import { expectAbsolute, expectRelative } from "./_close.ts";

test.each(["approval", "small"] as const)("mcnemarTest() on the table %s", (name) => {
  const { data: { table }, expected } = mcnemar[name];
  const result = mcnemarTest(table[0]![1]!, table[1]![0]!);
  if ("absent" in result) expect.fail(result.reason);
  expectRelative(result.chiSquared, expected.chi2, 1e-12);
  expectRelative(result.chiSquaredCorrected, expected.chi2_cc, 1e-12);
  // p values come through the incomplete gamma and beta functions.
  expectRelative(result.p, expected.p, 1e-9);
  expectRelative(result.pCorrected, expected.p_cc, 1e-9);
  expectRelative(result.pExact, expected.p_exact, 1e-9);
  expectRelative(result.pMid, expected.p_mid, 1e-9);
});

test("Darwin's maize: signFlipTest() counts Fisher's patterns, pairedTest() gives his t", () => {
  const { data: { diff }, expected } = resampling.darwin;
  const flips = signFlipTest(diff);
  expect(flips.exact).toBe(true);
  expect(flips.total).toBe(expected.total);
  expect(flips.arrangements).toBe(expected.n_arrangements);
  expect(flips.atLeast).toBe(expected.n_ge);
  expect(flips.twoSided).toBe(expected.n_two_sided);
  expect(flips.pTwoSided).toBe(expected.p_two_sided);
  const result = pairedTest(diff, diff.map(() => 0));
  if ("absent" in result) expect.fail(result.reason);
  expectRelative(result.t, expected.t, 1e-12);
  expectRelative(result.p, expected.p_t, 1e-12);
});

test("Student's sleep data: paired, exact and Welch", () => {
  const { data: { drug1, drug2 }, expected } = resampling.sleep;
  const result = pairedTest(drug1, drug2);
  if ("absent" in result || "absent" in result.difference) expect.fail("no test");
  expectRelative(result.t, expected.t, 1e-12);
  expect(result.degreesOfFreedom).toBe(9);
  expectRelative(result.p, expected.p_t, 1e-12);
  expectRelative(-result.difference.value, expected.mean_diff, 1e-12);
  expectRelative(result.difference.interval.low, expected.ci[0]!, 1e-12);
  expectRelative(result.difference.interval.high, expected.ci[1]!, 1e-12);
  const flips = signFlipTest(drug1.map((value, i) => value - drug2[i]!));
  expect(flips.twoSided).toBe(expected.n_two_sided);
  expect(flips.pTwoSided).toBe(expected.p_two_sided);
  const welch = welchTest(drug1, drug2);
  if ("absent" in welch) expect.fail(welch.reason);
  expectRelative(welch.t, expected.welch_t, 1e-12);
  expectRelative(welch.degreesOfFreedom, expected.welch_df, 1e-12);
  expectRelative(welch.p, expected.welch_p, 1e-12);
});

test("blockPermutationTest() counts the assignments of three blocks", () => {
  const { data: { y, treat, block }, expected } = resampling.blocks;
  const result = blockPermutationTest(y, { treated: treat, block });
  if ("absent" in result) expect.fail(result.reason);
  expectRelative(result.difference, expected.stat, 1e-12);
  expect(result.assignments).toBe(expected.n_assignments);
  expect(result.twoSided).toBe(expected.n_two_sided);
  expect(result.pTwoSided).toBe(6 / 720);
  expect(result.p).toBe(3 / 720);
  expectRelative(result.p, expected.p_one_sided, 1e-12);
});

test("kruskalWallisTest() on ozone by month, with ties", () => {
  const { data: { groups }, expected } = ranks.ozone;
  const result = kruskalWallisTest(groups);
  if ("absent" in result) expect.fail(result.reason);
  expectRelative(result.h, expected.H, 1e-12);
  expect(result.degreesOfFreedom).toBe(expected.df);
  expectRelative(result.p, expected.p, 1e-9);
  expectRelative(result.epsilonSquared, expected.epsilon2, 1e-12);
  expectRelative(result.etaSquared, expected.eta2_H, 1e-12);
});

test("inverseProbabilityMean() on six cases", () => {
  const { data: { y, prob }, expected } = weighting.ipw;
  const result = inverseProbabilityMean(y, prob);
  if ("absent" in result) expect.fail(result.reason);
  expectRelative(result.total, expected.ht_total, 1e-12);
  expectRelative(result.mean, expected.hajek_mean, 1e-12);
  expectRelative(result.cases, expected.n_hat, 1e-12);
  expectRelative(result.effectiveCases, expected.n_eff, 1e-12);
});

test("netBenefit() by hand", () => {
  const { data, expected } = benefit.hand;
  const result = netBenefit({
    n: data.n,
    events: data.events,
    truePositives: data.TP,
    falsePositives: data.FP,
    threshold: data.pt,
  });
  if ("absent" in result) expect.fail(result.reason);
  expectAbsolute(result.rule, expected.model, 1e-12);
  expectAbsolute(result.actOnAll, expected.treat_all, 1e-12);
  expectAbsolute(result.standardised, expected.standardized, 1e-12);
  expectAbsolute(result.sparedPerHundred, expected.net_reduction_per_100, 1e-12);
});
