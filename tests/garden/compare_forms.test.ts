import { describe, expect, test } from "vitest";
import { compareForms, type DragForm, driftOfTrials, simulatedGarden } from "../../lib/garden/mod.ts";

const laid = [{ name: "large", qCm2: 80 }, { name: "medium", qCm2: 25 }];
const of = (options: Parameters<typeof simulatedGarden>[1]) => {
  const [only] = compareForms(driftOfTrials(simulatedGarden(laid, options)));
  return {
    n: only!.n,
    score: (form: DragForm) => only!.scores.find((each) => each.form === form)!,
  };
};

describe("compareForms()", () => {
  test("finds an exponential and a curve in the gap itself worse on gardens made of phasors", () => {
    const { score, n } = of({ seed: 2, blocks: 14 });
    expect(n.blocks).toBe(14);
    expect(score("exponential from a free start").verdict).toBe("worse");
    expect(score("logistic in the gap").verdict).toBe("worse");
    expect(score("the curve in use")).toMatchObject({
      verdict: "the curve in use",
      difference: { value: 0, interval: { low: 0, high: 0 } },
    });
    // Sizes are logged and sizes matter: a form without any shape needs more data than this garden holds.
    expect(score("falling, without a form").verdict).not.toBe("better");
  });

  test("cannot tell a slope of its own from one slope where the truth has one", () => {
    const verdicts = [1, 2, 3, 4, 5].map((replicate) =>
      of({ seed: 6, replicate, blocks: 8, form: "working" }).score("own slope for each pair").verdict
    );
    expect(verdicts.filter((verdict) => verdict === "better").length).toBeLessThanOrEqual(1);
  });

  test("is absent under four blocks, with what is missing", () => {
    const { score } = of({ seed: 2, blocks: 3 });
    expect(score("logistic in the gap")).toMatchObject({
      verdict: "cannot tell",
      difference: { absent: "too few blocks", reason: "Leaving blocks out needs 4 blocks, got 0" },
    });
  });

  test("is empty without a pair that has four gaps", () => {
    expect(compareForms(driftOfTrials(simulatedGarden(laid, { seed: 1, blocks: 5, gapsCm: [1, 2] }))))
      .toEqual([]);
  });
});
