import { describe, expect, test } from "vitest";
import {
  autocorrelation,
  interquartileRange,
  kurtosis,
  mean,
  median,
  medianAbsoluteDeviation,
  quantile,
  type QuantileType,
  skewness,
  standardDeviation,
  summarise,
  trimmedMean,
} from "../../lib/numbers/mod.ts";
import copper from "./data/copper.json" with { type: "json" };
import quantiles from "./data/quantiles.json" with { type: "json" };
import univariate from "./data/univariate.json" with { type: "json" };
import { expectRelative, valueOf } from "./_close.ts";

// Certified digits: 15. The looser tolerances are what doubles allow where the values share their leading digits.
const nistTolerances: Record<string, [number, number]> = {
  Lottery: [1e-12, 1e-11],
  Mavro: [1e-11, 1e-11],
  Michelso: [1e-12, 1e-11],
  NumAcc1: [1e-12, 1e-11],
  NumAcc3: [1e-9, 1e-8],
};

describe("NIST StRD univariate summary statistics", () => {
  for (const [name, set] of Object.entries(univariate)) {
    test(`mean(), standardDeviation() and autocorrelation() agree on ${name}`, () => {
      const { data: { x }, expected } = set;
      const [sdTolerance, r1Tolerance] = nistTolerances[name]!;
      expect(x.length).toBe(expected.n);
      expectRelative(mean(x), expected.mean, 1e-14);
      expectRelative(standardDeviation(x), expected.sd, sdTolerance);
      expectRelative(valueOf(autocorrelation(x)), expected.r1, r1Tolerance);
    });
  }
});

describe("the nine definitions of a quantile", () => {
  for (const [name, set] of Object.entries(quantiles)) {
    for (const [key, expected] of Object.entries(set.expected)) {
      test(`quantile() gives ${key} of ${name}`, () => {
        const type = Number(key.slice(4)) as QuantileType;
        expected.forEach((value, i) => {
          const got = quantile(set.data.x, set.data.p[i]!, { type });
          // Order statistics come back unchanged; a mean of two may differ in its last bit.
          if ((type === 1 || type === 3) && set.data.x.includes(value)) expect(got).toBe(value);
          expectRelative(got, value, 1e-12);
        });
      });
    }
  }
  test("the handbook's printed percentiles, 95.1981 and 95.1957, come out of types 6 and 7", () => {
    expect(quantile(quantiles.handbook.data.x, 0.9, { type: 6 }).toFixed(4)).toBe("95.1981");
    expect(quantile(quantiles.handbook.data.x, 0.9, { type: 7 }).toFixed(4)).toBe("95.1957");
  });
});

test("robust and moment summaries of copper in flour agree with the published ones", () => {
  const { data: { x }, expected } = copper.chem;
  const near = (got: number, value: number) => expectRelative(got, value, 1e-12);
  near(mean(x), expected.mean);
  near(median(x), expected.median);
  near(medianAbsoluteDeviation(x), expected.mad_raw);
  near(medianAbsoluteDeviation(x, { constant: 1.4826 }), expected["mad_1.4826"]);
  near(interquartileRange(x), expected.iqr_type7);
  near(interquartileRange(x, { type: 6 }), expected.iqr_type6);
  near(interquartileRange(x, { type: 8 }), expected.iqr_type8);
  near(trimmedMean(x, 0.1), expected.trim10);
  near(valueOf(skewness(x)), expected.skew_g1);
  near(valueOf(skewness(x, { form: "G" })), expected.skew_G1);
  near(valueOf(skewness(x, { form: "b" })), expected.skew_b1);
  near(valueOf(kurtosis(x)), expected.kurt_g2);
  near(valueOf(kurtosis(x, { form: "G" })), expected.kurt_G2);
  near(valueOf(kurtosis(x, { form: "b" })), expected.kurt_b2);
  const summary = summarise(x);
  if (!("fiveNumbers" in summary)) expect.fail("no summary");
  summary.fiveNumbers.forEach((value, i) => near(value, expected.fivenum[i]!));
});
