import { describe, expect, test } from "vitest";
import {
  correctVerificationBias,
  dCriterion,
  designCovariance,
  exchangeDesign,
  inverseProbabilityMean,
  slopePower,
  slopeSampleSize,
} from "../../lib/numbers/mod.ts";
import design from "./data/design.json" with { type: "json" };
import weighting from "./data/weighting.json" with { type: "json" };
import { expectAbsolute, expectRelative, valueOf } from "./_close.ts";

test("Box and Lucas: exchangeDesign() finds the two best times", () => {
  const { data: { theta: [a, b] }, expected } = design.boxLucas;
  const gradient = (t: number): number[] => {
    const d = a! - b!, ea = Math.exp(-a! * t), eb = Math.exp(-b! * t);
    return [-b! / d ** 2 * (eb - ea) + a! / d * t * ea, a! / d ** 2 * (eb - ea) - a! / d * t * eb];
  };
  // Candidates 0.001 apart: the nearest lies within half of that of each best time.
  const times = Array.from({ length: 10_001 }, (_, i) => i / 1000);
  const picked = exchangeDesign(times.map(gradient), { trials: 2 });
  if ("absent" in picked) expect.fail(picked.reason);
  expectAbsolute(times[picked[0]!], expected.t1, 1e-3);
  expectAbsolute(times[picked[1]!], expected.t2, 1e-3);
  // det(X'X) = det(X)^2 and the criterion takes the mean over two trials.
  expectRelative(2 * dCriterion(picked.map((i) => gradient(times[i]!))), expected.abs_det, 1e-6);
});

describe("lines and parabolas on 12 points", () => {
  const { data: { designs }, expected } = design.lines;
  const quadratic = (x: number) => [1, x, x * x];
  const bestLine = dCriterion(designs.ends.map((x) => [1, x])),
    bestCurve = dCriterion(designs.three.map(quadratic));
  test.each(["ends", "uniform", "three"] as const)("%s", (name) => {
    const line = designs[name].map((x) => [1, x]);
    const covariance = designCovariance(line);
    if ("absent" in covariance) expect.fail(covariance.reason);
    expectRelative(covariance[1]![1], expected[name].var_slope, 1e-9);
    expectRelative(dCriterion(line) / bestLine, expected[name].d_eff_line, 1e-9);
    expectRelative(dCriterion(designs[name].map(quadratic)) / bestCurve, expected[name].d_eff_quad, 1e-9);
  });
});

test("slopeSampleSize() by the normal formula and by noncentral t", () => {
  design.slope.data.cases.forEach((given, i) => {
    const expected = (design.slope.expected as Record<string, Record<string, number>>)[`case${i + 1}`]!;
    const study = { slope: given.slope, errorDeviation: given.sd_error, xDeviation: given.sd_x };
    const size = slopeSampleSize(study, { alpha: given.alpha, power: given.power });
    expectAbsolute(size.normal, expected.n_normal!, 1e-6);
    expect(Math.ceil(size.normal)).toBe(expected.n_normal_ceiling);
    expect(size.trials).toBe(expected.n_exact_t);
    expectAbsolute(size.power, expected.power_at_n!, 1e-6);
    const fewer = slopePower(study, { trials: size.trials - 1, alpha: given.alpha });
    expectAbsolute(fewer, expected.power_at_n_minus_1!, 1e-6);
  });
});

test("Begg and Greenes: liver scans looked into more often when abnormal", () => {
  const { data, expected } = weighting.liver;
  const counts = (group: typeof data.test_positive) => ({
    total: group.total,
    verifiedYes: group.verified_diseased,
    verifiedNo: group.verified_healthy,
  });
  const result = correctVerificationBias(counts(data.test_positive), {
    calledNo: counts(data.test_negative),
  });
  if ("absent" in result) expect.fail(result.reason);
  const { sensitivity, specificity } = result;
  if ("absent" in sensitivity || "absent" in specificity) expect.fail("absent");
  expectRelative(sensitivity.value, expected.se, 1e-12);
  expectRelative(specificity.value, expected.sp, 1e-12);
  expectRelative(result.prevalence, expected.prevalence, 1e-12);
  expectRelative(valueOf(result.positivePredictiveValue), expected.ppv, 1e-12);
  expectRelative(valueOf(result.negativePredictiveValue), expected.npv, 1e-12);
  expectRelative(result.naiveSensitivity, expected.naive_se, 1e-12);
  expectRelative(result.naiveSpecificity, expected.naive_sp, 1e-12);
  expectRelative(result.sensitivityVariance, expected.var_se, 1e-9);
  expectRelative(result.specificityVariance, expected.var_sp, 1e-9);
  expectRelative(sensitivity.interval.low, expected.se_ci95_logit[0]!, 1e-9);
  expectRelative(sensitivity.interval.high, expected.se_ci95_logit[1]!, 1e-9);
  expectRelative(specificity.interval.low, expected.sp_ci95_logit[0]!, 1e-9);
  expectRelative(specificity.interval.high, expected.sp_ci95_logit[1]!, 1e-9);
  // Weighting each verified case by total over verified of its call must give the same sensitivity.
  const { test_positive: yes, test_negative: no } = data;
  const shareYes = (yes.verified_diseased + yes.verified_healthy) / yes.total;
  const shareNo = (no.verified_diseased + no.verified_healthy) / no.total;
  const called = [
    ...Array(yes.verified_diseased).fill(1),
    ...Array(no.verified_diseased).fill(0),
  ] as number[];
  const weighted = inverseProbabilityMean(called, called.map((one) => one === 1 ? shareYes : shareNo));
  if ("absent" in weighted) expect.fail(weighted.reason);
  expectRelative(weighted.mean, expected.se, 1e-12);
});
