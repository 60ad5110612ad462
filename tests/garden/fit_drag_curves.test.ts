import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { driftOfTrials, fitDragCurves, predictDrag } from "../../lib/garden/mod.ts";
import type { Garden, Trial } from "../../lib/log/mod.ts";
import {
  garden,
  neighbourAlone,
  passes,
  silentPasses,
  simulateGarden,
  targetAlone,
  trial,
} from "./_gardens.ts";

const both = (...readings: number[]) => ({ right: passes(...readings), left: passes(...readings) });

/** A garden without noise whose drags lie on the working curve itself; readings are not rounded. */
function exactGarden(
  q: number,
  s: number,
  options: { gaps?: number[]; blocks?: number; depth?: (b: number) => number; f?: number } = {},
): Garden {
  const { gaps = [0, 2, 4, 6, 9, 12], blocks = 5, depth = () => 8, f = 0 } = options;
  const trials: Trial[] = [];
  for (let b = 0; b < blocks; b++) {
    const block = `B${b}`, depth_cm = depth(b), w = 1 + f * (depth_cm ** 2 - 64);
    trials.push(targetAlone({ trial_id: `t${b}`, block, depth_cm, ...both(500) }));
    trials.push(neighbourAlone({ trial_id: `n${b}`, block, depth_cm, ...both(100) }));
    gaps.forEach((gap_cm, i) => {
      const drag = 1 / (1 + Math.exp(-(q * w - (gap_cm + 1.5) ** 2) / (s * w)));
      // A wiggle of alternating sign, so that residuals are not exactly zero; it is orthogonal to nothing, so tolerances allow for it.
      trials.push(
        trial({
          trial_id: `${b}-${i}`,
          block,
          depth_cm,
          gap_cm,
          ...both(500 - 400 * drag + ((b + i) % 2 === 0 ? 0.02 : -0.02)),
        }),
      );
    });
  }
  return garden(trials);
}

const only = (log: Garden) => fitDragCurves(driftOfTrials(log))[0]!;

describe("fitDragCurves() on gardens with a known truth", () => {
  test("finds q, s and the half gap of drags that lie on the curve", () => {
    const { fit, halfGapCm, distance, touching_cm } = only(exactGarden(60, 25));
    // Truth by construction: sqrt(60) - 1.5 cm. Tolerance: wiggle of 0.02 in 400 reading units.
    expect(fit!.qCm2).toBeCloseTo(60, 1);
    expect(fit!.sCm2).toBeCloseTo(25, 1);
    expect(halfGapCm).toHaveProperty("value");
    expect((halfGapCm as { value: number }).value).toBeCloseTo(Math.sqrt(60) - 1.5, 2);
    expect([distance, touching_cm]).toEqual(["centres", 1.5]);
  });

  test("finds how q and s grow with depth, and gives the half gap for the usual depth", () => {
    const curve = only(exactGarden(60, 25, { blocks: 9, depth: (b) => [8, 8, 12][b % 3]!, f: 0.005 }));
    expect(curve.depth_cm).toBe(8);
    expect(curve.depthVaries).toBe(true);
    expect(curve.fit!.depthFactorPerCm2).toBeCloseTo(0.005, 4);
    expect((curve.halfGapCm as { value: number }).value).toBeCloseTo(Math.sqrt(60) - 1.5, 2);
  });

  test("says never where the drag stays under one half when touching", () => {
    const { halfGapCm } = only(exactGarden(-20, 25));
    expect(halfGapCm).toMatchObject({ absent: "never" });
    // Just below the touching distance squared, 2.25 cm2, with next to no noise: never; just above it: a half gap.
    expect(only(exactGarden(1.5, 25)).halfGapCm).toMatchObject({ absent: "never" });
    expect(only(exactGarden(3, 25)).halfGapCm).toHaveProperty("value");
  });

  test("uses the gap alone where sizes are not logged, and says so", () => {
    const log = exactGarden(60, 25);
    const trials = log.trials.map((each) => ({ ...each, target_size_mm: null }));
    const { distance, touching_cm, halfGapCm } = only({ ...log, trials });
    expect([distance, touching_cm]).toEqual(["gap", 0]);
    // The form in the gap alone is another curve: the half gap stays within 0.35 cm (the physics' own figure for it).
    expect(Math.abs((halfGapCm as { value: number }).value - (Math.sqrt(60) - 1.5))).toBeLessThan(0.35);
  });

  test("fits a target that reads below its neighbour just as well", () => {
    const log = exactGarden(60, 25);
    const turn = (each: Trial["right"]) => each && { ...each, readings: each.readings.map((r) => 600 - r) };
    const trials = log.trials.map((each) => ({ ...each, right: turn(each.right), left: turn(each.left) }));
    const [turned, usual] = [only({ ...log, trials }), only(log)];
    expect((turned.halfGapCm as { value: number }).value).toBeCloseTo(
      (usual.halfGapCm as { value: number }).value,
      6,
    );
    expect(turned.apart).toBeCloseTo(-usual.apart!, 9);
  });

  test("shares the slope among the neighbours of one target, not between targets", () => {
    const log = simulateGarden([{ neighbour: "a", q: 60 }, { neighbour: "b", q: 20 }], {
      seed: 4,
      trialsPerBlock: 12,
    });
    const second = log.trials.map((each) => ({
      ...each,
      trial_id: `${each.trial_id}-2`,
      target: each.target === null ? null : "ball",
      gap_cm: each.gap_cm === null ? null : each.gap_cm * 1.5,
    }));
    const curves = fitDragCurves(driftOfTrials({ ...log, trials: [...log.trials, ...second] }));
    const slope = (target: string, neighbour: string) =>
      curves.find((each) => each.pair.target === target && each.pair.neighbour === neighbour)!.fit!.sCm2;
    expect(slope("disc", "a")).toBe(slope("disc", "b"));
    expect(slope("ball", "a")).toBe(slope("ball", "b"));
    expect(slope("ball", "a")).not.toBeCloseTo(slope("disc", "a"), 0);
  });

  test("never pools two machines", () => {
    const log = exactGarden(60, 25);
    const other = exactGarden(20, 25).trials.map((each) => ({
      ...each,
      trial_id: `B${each.trial_id}`,
      machine: "Machine B",
    }));
    const curves = fitDragCurves(driftOfTrials({ ...log, trials: [...log.trials, ...other] }));
    expect(curves.map((each) => each.fit!.qCm2.toFixed(1))).toEqual(["60.0", "20.0"]);
  });

  test("does not depend on the order of the log", () => {
    const log = simulateGarden([{ neighbour: "a", q: 60 }, { neighbour: "b", q: -10 }], {
      seed: 5,
      blocks: 5,
    });
    const usual = fitDragCurves(driftOfTrials(log));
    fc.assert(
      fc.property(fc.shuffledSubarray([...log.trials], { minLength: log.trials.length }), (trials) => {
        fitDragCurves(driftOfTrials({ ...log, trials })).forEach((curve, i) => {
          // Sums in another order: equal to what the search settles to.
          expect(curve.fit!.qCm2).toBeCloseTo(usual[i]!.fit!.qCm2, 4);
          expect("absent" in curve.halfGapCm).toBe("absent" in usual[i]!.halfGapCm);
        });
      }),
      { numRuns: 5, seed: 1 },
    );
  });
});

describe("fitDragCurves() in simulated gardens", () => {
  const laid = [
    { neighbour: "large", q: 80 },
    { neighbour: "medium", q: 25 },
    { neighbour: "foil", q: -40 },
    { neighbour: "tack", q: -300 },
  ];
  const runs = 60;
  const found = Array.from(
    { length: runs },
    (_, replicate) =>
      fitDragCurves(
        driftOfTrials(simulateGarden(laid, { seed: 7, replicate, blocks: 8, trialsPerBlock: 12 })),
      ),
  );
  const of = (neighbour: string) =>
    found.map((curves) => curves.find((each) => each.pair.neighbour === neighbour)!);

  test("covers the true q about as often as promised", () => {
    // 60 gardens: 95 % less three standard errors of a share (0.028 each) and what the working curve's own bias costs.
    for (const { neighbour, q } of laid.slice(0, 3)) {
      const intervals = of(neighbour).map((each) => each.qCm2).filter((each) => "value" in each);
      expect(intervals.length).toBeGreaterThan(runs * 0.95);
      const covered = intervals.filter((each) => each.interval.low <= q && q <= each.interval.high).length;
      expect(covered / intervals.length).toBeGreaterThan(0.85);
    }
  });

  test("finds the half gap within 0.3 cm at the median, and says never where there is none", () => {
    for (const { neighbour, q } of laid.slice(0, 2)) {
      const errors = of(neighbour).flatMap((each) =>
        "value" in each.halfGapCm ? [Math.abs(each.halfGapCm.value - Math.sqrt(q) + 1.5)] : []
      )
        .sort((a, b) => a - b);
      expect(errors.length).toBeGreaterThan(runs * 0.9);
      expect(errors[Math.floor(errors.length / 2)]!).toBeLessThan(0.3);
    }
    for (const { neighbour } of laid.slice(2)) {
      const words = of(neighbour).map((each) => "absent" in each.halfGapCm ? each.halfGapCm.absent : "value");
      expect(words.filter((word) => word === "never").length).toBeGreaterThan(runs * 0.9);
      expect(words.filter((word) => word === "value")).toEqual([]);
    }
  });

  test("rarely gives a half gap where none exists, just below the edge, and rarely says never just above it", () => {
    // Touching distance squared 2.25. Each false answer has a chance of 2.5 % by design; 3 of 60 would be 5 %.
    const answers = (q: number) =>
      Array.from({ length: runs }, (_, replicate) => {
        const near = [{ neighbour: "large", q: 80 }, { neighbour: "near", q }];
        const curve = fitDragCurves(
          driftOfTrials(simulateGarden(near, { seed: 9, replicate, blocks: 8, trialsPerBlock: 12 })),
        )[1]!;
        return "absent" in curve.halfGapCm ? curve.halfGapCm.absent : "value";
      });
    expect(answers(0).filter((word) => word === "value").length).toBeLessThanOrEqual(3);
    expect(answers(5).filter((word) => word === "never").length).toBeLessThanOrEqual(3);
  });

  test("gives wider intervals when trials of a block share an effect", () => {
    const width = (block: number) => {
      const curves = fitDragCurves(
        driftOfTrials(
          simulateGarden(laid.slice(0, 1), { seed: 3, blocks: 10, noise: { pass: 4, trial: 8, block } }),
        ),
      );
      const q = curves[0]!.qCm2;
      return "value" in q ? q.interval.high - q.interval.low : NaN;
    };
    expect(width(40)).toBeGreaterThan(2 * width(0));
  });

  test("puts the observed drags inside a sensible band and predicts one half at the half gap", () => {
    const curve = of("large")[0]!;
    const half = (curve.halfGapCm as { value: number }).value;
    const [at] = predictDrag(curve, [half]);
    expect(at!.drag).toBeCloseTo(0.5, 9);
    expect(at!.band!.low).toBeLessThan(0.5);
    expect(at!.band!.high).toBeGreaterThan(0.5);
  });

  test("has a band that crosses one half where the half gap's interval ends, the form's own error in both", () => {
    const curve = of("large")[0]!;
    if (!("value" in curve.halfGapCm)) throw new Error("expected a half gap");
    const { low, high } = curve.halfGapCm.interval;
    const crossing = (limit: "low" | "high") => {
      let near = 0, far = 20;
      for (let i = 0; i < 60; i++) {
        const middle = (near + far) / 2;
        if (predictDrag(curve, [middle])[0]!.band![limit] > 0.5) near = middle;
        else far = middle;
      }
      return near;
    };
    // To first order in the slope's own error: the band is taken at the gap, the interval at q.
    expect(Math.abs(crossing("low") - low)).toBeLessThan(0.05 * (high - low));
    expect(Math.abs(crossing("high") - high)).toBeLessThan(0.05 * (high - low));
  });
});

describe("fitDragCurves() on logs that cannot carry a curve", () => {
  const answer = (log: Garden) => {
    const { halfGapCm, layNext } = only(log);
    if (!("absent" in halfGapCm)) throw new Error("expected no half gap");
    return { word: halfGapCm.absent, reason: halfGapCm.reason, layNext };
  };
  const full = exactGarden(60, 25);
  const without = (drop: (trial: Trial) => boolean): Garden => ({
    ...full,
    trials: full.trials.filter((each) => !drop(each)),
  });
  const change = (log: Garden, to: (trial: Trial) => Partial<Trial>): Garden => ({
    ...log,
    trials: log.trials.map((each) => ({ ...each, ...to(each) })),
  });
  const together = (each: Trial) => each.target !== null && each.neighbour !== null;

  test("no control trials: asks for the target alone and the neighbour alone", () => {
    expect(answer(without((each) => !together(each)))).toEqual({
      word: "cannot tell yet",
      reason:
        "The target was never read alone at this depth and coil height. Lay the target alone and the neighbour alone once in every block, at the same depth and coil height",
      layNext:
        "Lay the target alone and the neighbour alone once in every block, at the same depth and coil height",
    });
    expect(answer(without((each) => each.target === null)).reason).toMatch(
      /^The neighbour was never read alone/,
    );
  });

  test("one gap only: asks for three more", () => {
    const { word, reason, layNext } = answer(without((each) => together(each) && each.gap_cm !== 4));
    expect(word).toBe("cannot tell yet");
    expect(reason).toMatch(/^A curve needs 4 distinct gaps, this pair has 1\. /);
    expect(layNext).toMatch(/^Lay 3 more gaps next, such as /);
  });

  test("all readings silent: says that silence is not a number", () => {
    const { reason } = answer(
      change(full, (each) => together(each) ? { right: silentPasses, left: silentPasses } : {}),
    );
    expect(reason).toBe(
      "All 60 readings were silent, and silence is not a number. Lay wider gaps, or switch off what silences iron, and read again",
    );
  });

  test("target and neighbour that read alike: asks for another neighbour", () => {
    const { reason } = answer(change(full, (each) => each.target === null ? both(499) : {}));
    expect(reason).toMatch(/too close to define a drag\. Pick a neighbour whose own reading lies further/);
  });

  test("gaps in two units: asks for centimetres", () => {
    const { reason } = answer(
      change(full, (each) => each.block === "B2" && each.gap_cm ? { gap_cm: each.gap_cm * 10 } : {}),
    );
    expect(reason).toMatch(/look like two units\. Write the gaps in centimetres/);
  });

  test("negative gaps only: sets them aside and asks for gaps", () => {
    const { reason } = answer(change(full, (each) => together(each) ? { gap_cm: -3 } : {}));
    expect(reason).toMatch(/^A gap cannot be below 0, got -3\. Lay four gaps next/);
  });

  test("a block with one trial does not break the others", () => {
    const lone = trial({ trial_id: "lone", block: "B99", gap_cm: 4, ...both(300) });
    const { halfGapCm, n } = only({ ...full, trials: [...full.trials, lone] });
    expect(halfGapCm).toHaveProperty("value");
    expect(n).toMatchObject({ blocks: 6, "weaker-control trials": 1 });
  });

  test("three trials in all: no curve", () => {
    const { reason } = answer({
      ...full,
      trials: full.trials.filter((each) => each.block === "B0").slice(0, 5),
    });
    expect(reason).toMatch(/^A curve needs 4 distinct gaps, this pair has 3/);
  });

  test("under four blocks: a curve, but no interval and no half gap", () => {
    const log = exactGarden(60, 25, { blocks: 3 });
    const curve = only(log);
    expect(curve.halfGapCm).toMatchObject({ absent: "cannot tell yet" });
    expect(answer(log).reason).toBe(
      "An interval needs 4 blocks, this pair has 3. Lay the same gaps again in 1 more block, each with its own controls",
    );
    expect(curve.fit!.covariance).toBeNull();
    expect(predictDrag(curve, [2])[0]!.band).toBeNull();
  });

  test("drags on one side of one half: asks for wider or closer gaps", () => {
    expect(answer(exactGarden(300, 60, { gaps: [0, 2, 4, 6, 8] })).layNext).toBe(
      "Lay wider gaps next, such as 12 and 16 cm",
    );
    const far = answer(exactGarden(20, 25, { gaps: [5, 6, 8, 10] }));
    expect(far).toMatchObject({
      word: "cannot tell yet",
      layNext: "Lay closer gaps next, such as 0 and 2.5 cm",
    });
  });

  test("never is not said of a pair that was only laid far apart", () => {
    expect(answer(exactGarden(-20, 25, { gaps: [5, 6, 8, 10] })).reason).toMatch(
      /nothing was laid closer than 5 cm/,
    );
  });

  test("drags that rise with the gap: no curve", () => {
    const log = change(full, (each) => together(each) ? both(500 - 400 * (0.1 + each.gap_cm! / 15)) : {});
    expect(answer(log)).toMatchObject({ word: "cannot tell yet" });
    expect(only(log).fit).toBeNull();
  });

  test("an empty garden has no curves", () => {
    expect(fitDragCurves(driftOfTrials(garden([])))).toEqual([]);
  });

  test("never gives NaN, null or a half gap without an interval, whatever readings come", () => {
    const reading = fc.integer({ min: 0, max: 600 });
    const row = fc.record({
      gap: fc.integer({ min: 0, max: 12 }),
      block: fc.integer({ min: 0, max: 5 }),
      right: reading,
      left: reading,
    });
    fc.assert(
      fc.property(fc.array(row, { minLength: 0, maxLength: 30 }), (rows) => {
        const trials = [
          ...[0, 1, 2, 3, 4, 5].flatMap((b) => [
            targetAlone({ trial_id: `t${b}`, block: `B${b}`, ...both(500) }),
            neighbourAlone({ trial_id: `n${b}`, block: `B${b}`, ...both(100) }),
          ]),
          ...rows.map(({ gap, block, right, left }, i) =>
            trial({
              trial_id: `T${i}`,
              block: `B${block}`,
              gap_cm: gap,
              right: passes(right),
              left: passes(left),
            })
          ),
        ];
        for (const curve of fitDragCurves(driftOfTrials(garden(trials)))) {
          for (const estimate of [curve.halfGapCm, curve.qCm2]) {
            if ("value" in estimate) {
              expect([estimate.value, estimate.interval.low, estimate.interval.high].every(Number.isFinite))
                .toBe(true);
              expect(estimate.interval.low).toBeLessThanOrEqual(estimate.value);
              expect(estimate.interval.high).toBeGreaterThanOrEqual(estimate.value);
            } else expect(estimate.reason.length).toBeGreaterThan(10);
          }
          if ("value" in curve.halfGapCm) expect(curve.halfGapCm.interval.low).toBeGreaterThan(0);
          else if (curve.halfGapCm.absent !== "never") expect(curve.layNext).toMatch(/^(Lay|Pick|Write)/);
        }
      }),
      { numRuns: 60, seed: 1 },
    );
  });
});
