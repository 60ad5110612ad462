import { describe, expect, test } from "vitest";
import {
  bootstrapByCluster,
  bootstrapReplicates,
  clusterRobustCovariance,
  clusterRobustMean,
  isPresent,
  leastSquaresFit,
  mean,
  standardDeviation,
  studentQuantile,
} from "../../lib/numbers/mod.ts";
import { jackknifeAcceleration } from "../../lib/numbers/bootstrap_by_cluster.ts";
import resampling from "./data/resampling.json" with { type: "json" };
import { expectAbsolute, expectRelative } from "./_close.ts";

/** Pearson's correlation of two columns over some rows. */
function correlation(x: readonly number[], y: readonly number[]): (rows: Int32Array) => number {
  return (rows) => {
    let sx = 0, sy = 0;
    for (const i of rows) sx += x[i]!, sy += y[i]!;
    sx /= rows.length, sy /= rows.length;
    let xx = 0, yy = 0, xy = 0;
    for (const i of rows) xx += (x[i]! - sx) ** 2, yy += (y[i]! - sy) ** 2, xy += (x[i]! - sx) * (y[i]! - sy);
    return xy / Math.sqrt(xx * yy);
  };
}

describe("law school data, 15 schools", () => {
  const { data: { lsat, gpa }, expected } = resampling.lawSchool;
  const r = correlation(lsat, gpa);
  const ids = lsat.map((_, i) => i);
  const options = { seed: 1, name: "published/law-school", replicates: 100_000 };

  test("jackknife acceleration and standard error", () => {
    const jackknife = ids.map((left) => r(Int32Array.from(ids.filter((i) => i !== left))));
    expectRelative(r(Int32Array.from(ids)), expected.r, 1e-9);
    expectRelative(jackknifeAcceleration(jackknife), expected.acceleration, 1e-9);
    const centre = mean(jackknife);
    const squares = jackknife.reduce((sum, x) => sum + (x - centre) ** 2, 0);
    expectRelative(Math.sqrt(14 / 15 * squares), expected.jackknife_se, 1e-9);
  });

  // 100,000 resamples: the Monte Carlo error of a limit is about a third of these tolerances.
  test("bootstrapReplicates() gives the standard error of complete enumeration", () => {
    const draws = bootstrapReplicates(ids, r, options);
    expectAbsolute(standardDeviation(draws.filter(Number.isFinite)), expected.ideal_bootstrap_se, 0.0015);
  });
  test.each([["percentile90", 0.9], ["percentile95", 0.95]] as const)("%s", (key, level) => {
    const estimate = bootstrapByCluster(ids, r, { ...options, level });
    if (!isPresent(estimate)) expect.fail(estimate.reason);
    expectAbsolute(estimate.interval.low, expected[key][0]!, 0.005);
    expectAbsolute(estimate.interval.high, expected[key][1]!, 0.005);
  });
  test.each([["bca90", 0.9], ["bca95", 0.95]] as const)("%s", (key, level) => {
    const estimate = bootstrapByCluster(ids, r, { ...options, level, interval: "bca" });
    if (!isPresent(estimate)) expect.fail(estimate.reason);
    expectAbsolute(estimate.interval.low, expected[key][0]!, 0.012);
    expectAbsolute(estimate.interval.high, expected[key][1]!, 0.004);
  });
});

describe("growth of 27 children at 4 ages", () => {
  const { data: { subject, age, distance }, expected } = resampling.orthodont;
  const average = (rows: Int32Array): number => {
    let sum = 0;
    for (const i of rows) sum += distance[i]!;
    return sum / rows.length;
  };
  const slope = (rows: Int32Array): number => {
    let sx = 0, sy = 0, xx = 0, xy = 0;
    for (const i of rows) sx += age[i]!, sy += distance[i]!;
    sx /= rows.length, sy /= rows.length;
    for (const i of rows) xx += (age[i]! - sx) ** 2, xy += (age[i]! - sx) * (distance[i]! - sy);
    return xy / xx;
  };
  const all = Int32Array.from(subject, (_, i) => i);
  const options = { seed: 1, name: "published/growth", replicates: 10_000 };

  test("point estimates", () => {
    expectRelative(slope(all), expected.slope, 1e-10);
    expectRelative(average(all), expected.mean, 1e-10);
  });
  test("clusterRobustMean() has the closed-form standard error", () => {
    const estimate = clusterRobustMean(distance, subject);
    if (!isPresent(estimate)) expect.fail(estimate.reason);
    const se = (estimate.interval.high - estimate.value) / studentQuantile(0.975, 26);
    // The closed form has no G / (G - 1).
    expectRelative(se * Math.sqrt(26 / 27), expected.ideal_se_mean, 1e-10);
  });
  test("clusterRobustCovariance() has the closed-form standard error of the slope", () => {
    const fit = leastSquaresFit(([a, b]) => age.map((x, i) => distance[i]! - a! - b! * x), [0, 0]);
    if (fit.status !== "converged") expect.fail(fit.reason);
    expectRelative(fit.parameters[1], expected.slope, 1e-10);
    expectRelative(fit.standardErrors[1], expected.naive_ols_se_slope, 1e-10);
    const robust = clusterRobustCovariance(fit, subject);
    if ("absent" in robust) expect.fail(robust.reason);
    // The closed form is the plain sandwich: take the factors for few clusters out again.
    const plain = robust.standardErrors[1]! * Math.sqrt(26 / 27 * 106 / 107);
    expectRelative(plain, expected.ideal_se_slope, 1e-10);
  });
  // 10,000 resamples leave 0.7 % of Monte Carlo error in a standard error.
  test("whole children resampled give the ideal standard errors, single rows do not", () => {
    expectRelative(
      standardDeviation(bootstrapReplicates(subject, slope, options)),
      expected.ideal_se_slope,
      0.03,
    );
    expectRelative(
      standardDeviation(bootstrapReplicates(subject, average, options)),
      expected.ideal_se_mean,
      0.03,
    );
    const rows = standardDeviation(bootstrapReplicates(all, average, options));
    expectRelative(rows, expected.naive_se_mean, 0.03);
    expect(Math.abs(rows / expected.ideal_se_mean - 1)).toBeGreaterThan(0.3);
  });
});
