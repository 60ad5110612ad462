import { describe, expect, test } from "vitest";
import { brierParts } from "../../lib/model/brier_parts.ts";
import {
  brierScore,
  chance,
  isMeasured,
  isPresent,
  murphyDecomposition,
  reliabilityTable,
} from "../../lib/numbers/mod.ts";

const valueOf = (estimate: Parameters<typeof isPresent>[0]): number => {
  if (!isPresent(estimate)) throw new Error(estimate.reason);
  return estimate.value;
};

/** Chances of two outcomes out of five levels; the third never comes. */
function made(n: number, bold: number) {
  const stream = chance(2, "tests/brier parts");
  const p = new Float64Array(3 * n), outcome = new Uint8Array(n);
  for (let i = 0; i < n; i++) {
    const level = (1 + 2 * (i % 5)) / 10, given = 0.5 + bold * (level - 0.5);
    outcome[i] = stream.next() < level ? 1 : 0;
    p.set([1 - given, given, 0], 3 * i);
  }
  return { p, outcome, group: Int32Array.from({ length: n }, (_, i) => Math.floor(i / 5) % 8) };
}

describe("brierParts()", () => {
  test("agrees with Murphy's split (1973) where shares rise with the chances", () => {
    const { p, outcome, group } = made(1000, 1.2);
    const chances = Float64Array.from(outcome, (_, i) => p[3 * i + 1]!);
    const lines = reliabilityTable(chances, outcome);
    const rising = lines.every((line, i) => i === 0 || line.frequency >= lines[i - 1]!.frequency);
    expect(rising).toBe(true);
    const murphy = murphyDecomposition(lines);
    if ("absent" in murphy) throw new Error(murphy.reason);
    const parts = brierParts(p, outcome, { group });
    // Two outcomes that add up to 1: the summed score is twice the half score.
    expect(valueOf(parts.miscalibration)).toBeCloseTo(2 * murphy.reliability, 10);
    expect(valueOf(parts.discrimination)).toBeCloseTo(2 * murphy.resolution, 10);
    expect(valueOf(parts.uncertainty)).toBeCloseTo(2 * murphy.uncertainty, 10);
  });
  test("adds up to the Brier score exactly, with three outcomes and no two chances alike", () => {
    const stream = chance(7, "tests/brier parts");
    const n = 150, p = new Float64Array(3 * n);
    for (let i = 0; i < n; i++) {
      const parts = [stream.next(), stream.next(), stream.next()], sum = parts[0]! + parts[1]! + parts[2]!;
      parts.forEach((part, k) => p[3 * i + k] = part / sum);
    }
    const outcome = Uint8Array.from({ length: n }, () => stream.integer(3));
    const group = Int32Array.from({ length: n }, (_, i) => i % 6);
    const parts = brierParts(p, outcome, { group }), score = brierScore(p, outcome, { classes: 3 });
    if (!isMeasured(score)) throw new Error("absent");
    expect(valueOf(parts.brier)).toBeCloseTo(score.value, 12);
    expect(valueOf(parts.miscalibration) - valueOf(parts.discrimination) + valueOf(parts.uncertainty))
      .toBeCloseTo(
        score.value,
        12,
      );
    expect(valueOf(parts.miscalibration)).toBeGreaterThan(0);
    expect(parts.brier.n).toEqual({ signals: 150, sites: 6 });
  });
  test("overbold chances cost more miscalibration, and tell signals apart as well", () => {
    const honest = made(2000, 1), bold = made(2000, 1.2);
    const a = brierParts(honest.p, honest.outcome, honest), b = brierParts(bold.p, bold.outcome, bold);
    expect(valueOf(b.miscalibration)).toBeGreaterThan(valueOf(a.miscalibration) + 0.003);
    expect(valueOf(b.discrimination)).toBeCloseTo(valueOf(a.discrimination), 12);
  });
  test("one site: absent; lengths are checked", () => {
    const { p, outcome } = made(10, 1);
    expect(brierParts(p, outcome, { group: new Int32Array(10) }).brier).toMatchObject({ absent: "one site" });
    expect(() => brierParts(p, outcome, { group: new Int32Array(9) })).toThrow(/^Cannot split a Brier score/);
  });
});
