import { describe, expect, test } from "vitest";
import { leastSquaresFit } from "../../lib/numbers/mod.ts";
import nonlinear from "./data/nonlinear.json" with { type: "json" };
import { expectRelative } from "./_close.ts";

type Model = (x: number, b: readonly number[]) => number;
const { exp, atan, cos, sin, PI } = Math;
/** The models as NIST prints them, b1 first. */
const models: Record<string, Model> = {
  Misra1a: (x, [b1, b2]) => b1! * (1 - exp(-b2! * x)),
  BoxBOD: (x, [b1, b2]) => b1! * (1 - exp(-b2! * x)),
  Chwirut1: (x, [b1, b2, b3]) => exp(-b1! * x) / (b2! + b3! * x),
  Chwirut2: (x, [b1, b2, b3]) => exp(-b1! * x) / (b2! + b3! * x),
  MGH09: (x, [b1, b2, b3, b4]) => b1! * (x * x + x * b2!) / (x * x + x * b3! + b4!),
  Rat43: (x, [b1, b2, b3, b4]) => b1! / (1 + exp(b2! - b3! * x)) ** (1 / b4!),
  Lanczos3: (x, [b1, b2, b3, b4, b5, b6]) => b1! * exp(-b2! * x) + b3! * exp(-b4! * x) + b5! * exp(-b6! * x),
  Misra1b: (x, [b1, b2]) => b1! * (1 - (1 + b2! * x / 2) ** -2),
  Misra1c: (x, [b1, b2]) => b1! * (1 - (1 + 2 * b2! * x) ** -0.5),
  DanWood: (x, [b1, b2]) => b1! * x ** b2!,
  MGH17: (x, [b1, b2, b3, b4, b5]) => b1! + b2! * exp(-x * b4!) + b3! * exp(-x * b5!),
  Kirby2: (x, [b1, b2, b3, b4, b5]) => (b1! + b2! * x + b3! * x * x) / (1 + b4! * x + b5! * x * x),
  Bennett5: (x, [b1, b2, b3]) => b1! * (b2! + x) ** (-1 / b3!),
  Roszman1: (x, [b1, b2, b3, b4]) => b1! - b2! * x - atan(b3! / (x - b4!)) / PI,
  ENSO: (x, [b1, b2, b3, b4, b5, b6, b7, b8, b9]) =>
    b1! + b2! * cos(2 * PI * x / 12) + b3! * sin(2 * PI * x / 12) + b5! * cos(2 * PI * x / b4!) +
    b6! * sin(2 * PI * x / b4!) + b8! * cos(2 * PI * x / b7!) + b9! * sin(2 * PI * x / b7!),
  Gauss1: (x, [b1, b2, b3, b4, b5, b6, b7, b8]) =>
    b1! * exp(-b2! * x) + b3! * exp(-((x - b4!) ** 2) / b5! ** 2) + b6! * exp(-((x - b7!) ** 2) / b8! ** 2),
};

describe("NIST StRD nonlinear regression", () => {
  for (const [name, set] of Object.entries(nonlinear)) {
    const model = models[name]!;
    const { rows, start1, start2 } = set.data;
    const residuals = (b: Float64Array) => rows.map(([y, x]) => y! - model(x!, [...b]));

    test(`${name} from start 2`, () => {
      const fit = leastSquaresFit(residuals, start2);
      if (fit.status !== "converged") expect.fail(fit.reason);
      set.expected.params.forEach((value, j) => expectRelative(fit.parameters[j], value, 10 ** -set.digits));
      set.expected.sd.forEach((value, j) => expectRelative(fit.standardErrors[j], value, 1e-6));
      expectRelative(fit.residualSumOfSquares, set.expected.rss, 1e-9);
      expectRelative(fit.residualStandardDeviation, set.expected.residual_sd, 1e-9);
      expect(fit.degreesOfFreedom).toBe(set.expected.df);
    });

    // The far start may fail, but then it must say so: a wrong answer that claims to have settled fails here.
    test(`${name} from start 1, reached or flagged`, () => {
      const fit = leastSquaresFit(residuals, start1);
      if (fit.status !== "converged") {
        expect(fit.reason).toMatch(/^[A-Z]/);
        return;
      }
      set.expected.params.forEach((value, j) => expectRelative(fit.parameters[j], value, 1e-6));
    });
  }
});
