import { expect, test } from "vitest";
import {
  betaProbability,
  betaQuantile,
  chiSquaredTail,
  normalProbability,
  normalQuantile,
  studentProbability,
  studentQuantile,
} from "../../lib/numbers/mod.ts";
import distributions from "./data/distributions.json" with { type: "json" };
import { expectRelative } from "./_close.ts";

// 1e-12 relative, in the tails as well: far below any use that a result makes of these, far above rounding.
const tolerance = 1e-12;

test("normalProbability() agrees with 30-digit arithmetic", () => {
  for (const [z, p] of distributions.normal) expectRelative(normalProbability(z!), p!, tolerance);
});
test("normalQuantile() agrees with 30-digit arithmetic", () => {
  for (const [p, z] of distributions.normalQuantile) expectRelative(normalQuantile(p!), z!, tolerance);
});
test("studentProbability() agrees with 30-digit arithmetic", () => {
  for (const [t, df, p] of distributions.t) expectRelative(studentProbability(t!, df!), p!, tolerance);
});
test("studentQuantile() agrees with 30-digit arithmetic", () => {
  for (const [p, df, t] of distributions.tQuantile) expectRelative(studentQuantile(p!, df!), t!, tolerance);
});
test("betaProbability() agrees with 30-digit arithmetic and betaQuantile() turns it round", () => {
  for (const [x, a, b, p] of distributions.beta) {
    expectRelative(betaProbability(x!, [a!, b!]), p!, tolerance);
    if (p! > 1e-10 && p! < 0.999) expectRelative(betaQuantile(p!, [a!, b!]), x!, tolerance);
  }
});
test("chiSquaredTail() agrees with 30-digit arithmetic", () => {
  for (const [x, df, p] of distributions.chi) expectRelative(chiSquaredTail(x!, df!), p!, tolerance);
});

// Abramowitz and Stegun (1964), tables 26.1 and 26.10 (from memory), to the printed digits.
test("studentQuantile() gives the printed table of t", () => {
  for (
    const [df, printed] of [[1, "12.706"], [2, "4.303"], [5, "2.571"], [10, "2.228"], [30, "2.042"]] as const
  ) {
    expect(studentQuantile(0.975, df).toFixed(3)).toBe(printed);
  }
  expect(studentQuantile(0.975, Infinity).toFixed(3)).toBe("1.960");
});
