import { describe, expect, test } from "vitest";
import {
  brierScore,
  calibrationBins,
  calibrationError,
  isotonicRegression,
  plattScaling,
} from "../../lib/numbers/mod.ts";
import calibration from "./data/calibration.json" with { type: "json" };
import { expectAbsolute, expectRelative, valueOf } from "./_close.ts";

test.each(["pavaSeven", "pavaIsoreg", "pavaWeighted"] as const)("isotonicRegression() on %s", (name) => {
  const { data: { y, w }, expected } = calibration[name];
  const fit = isotonicRegression(y, { weights: w });
  expected.fit.forEach((value, i) => expectAbsolute(fit[i], value, 1e-12));
  const squares = y.reduce((sum, value, i) => sum + w[i]! * (value - fit[i]!) ** 2, 0);
  expectAbsolute(squares, expected.sse, 1e-12);
});

describe("25 forecasts in bands", () => {
  const { data: { p, y }, expected } = calibration.ece;
  test.each([["M5", 5], ["M10", 10]] as const)("%s", (key, bins) => {
    const bands = calibrationBins(p, y, { bins });
    const table = expected[key];
    expect(bands.map((band) => band.count)).toEqual(table.count);
    bands.forEach((band, i) => {
      expectAbsolute(band.meanForecast, table.mean_pred[i]!, 1e-12);
      expectAbsolute(valueOf(band.frequency), table.frac_pos[i]!, 1e-12);
    });
    const { expected: mean, maximum } = calibrationError(p, y, { bins });
    expectAbsolute(valueOf(mean), table.ece, 1e-12);
    expectAbsolute(valueOf(maximum), table.mce, 1e-12);
  });
  test("their half Brier score", () => {
    expectAbsolute(valueOf(brierScore(p.map((q) => [1 - q, q]), y, { form: "half" })), expected.brier, 1e-12);
  });
});

test("plattScaling() on 14 overlapping scores", () => {
  const { data: { score, y }, expected } = calibration.platt;
  const fit = plattScaling(score, y);
  if (fit.status !== "converged") expect.fail(fit.reason);
  expect(fit.targetYes).toBe(expected.t_pos);
  expectRelative(fit.targetNo, expected.t_neg, 1e-15);
  expectRelative(fit.a, expected.A, 1e-6);
  expectRelative(fit.b, expected.B, 1e-6);
  expected.p.forEach((value, i) => expectRelative(fit.probabilities[i], value, 1e-6));
});
