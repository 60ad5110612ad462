import { describe, expect, test } from "vitest";
import { fitForms, type FormPoint } from "../../lib/garden/_rival_forms.ts";

/** Noiseless readings of one pair at two depths, 1 + 0.005 z2 between them, clean 500 and neighbour 100. */
function points(dragOf: (x2: number) => number): FormPoint[] {
  return [0, 50].flatMap((z2, depth) =>
    [0, 1, 2, 3, 4, 5, 6, 8, 10, 12].flatMap((gap) =>
      [0, 1, 2, 3].map((block): FormPoint => {
        const x2 = gap ** 2, drag = dragOf(x2 / (1 + 0.005 * z2));
        return {
          gap,
          x2,
          z2,
          reading: 500 - 400 * drag,
          clean: 500,
          alone: 100,
          pair: 0,
          block,
          cleanKey: `${depth}`,
          aloneKey: `${depth}`,
        };
      })
    )
  );
}

const worst = (form: keyof typeof fitForms, all: readonly FormPoint[]): number => {
  const fit = fitForms[form](all, 1)!;
  return Math.max(...all.map((point) => Math.abs(fit(point)! - (500 - point.reading) / 400)));
};

describe("fitForms at several depths", () => {
  const logistic = points((x2) => 1 / (1 + Math.exp((x2 - 30) / 15)));

  test("lets a form without a shape follow the growth with depth", () => {
    // Two depths put 1.25 apart in x2: without the growth the drags of one gap differ by up to 0.13, and no one line is nearer than half of it to both.
    expect(worst("falling, without a form", logistic)).toBeLessThan(0.01);
    expect(worst("the curve in use", logistic)).toBeLessThan(1e-6);
  });

  test("scales the exponential and the Gaussian, too", () => {
    const gaussian = points((x2) => 0.9 * Math.exp(-x2 / 40));
    expect(worst("Gaussian from a free start", gaussian)).toBeLessThan(0.02);
    const exponential = points((x2) => 0.9 * Math.exp(-Math.sqrt(x2) / 5));
    expect(worst("exponential from a free start", exponential)).toBeLessThan(0.04);
  });
});
