import { describe, expect, test } from "vitest";
import { blockRefits } from "../../lib/garden/_block_refits.ts";
import { dragAt, type DragPoint, fitDragPoints } from "../../lib/garden/_drag_fit.ts";
import { chance, leastSquaresFit } from "../../lib/numbers/mod.ts";

function points(depths: readonly number[]): DragPoint[] {
  const draw = chance(4, "tests/refits");
  return Array.from({ length: 160 }, (_, i) => {
    const block = Math.floor(i / 20), pair = i % 2, gap = [0, 1, 2, 3, 4, 5, 6, 8, 10, 12][draw.integer(10)]!;
    const x2 = (gap + 1.5) ** 2, z2 = depths[block % depths.length]!;
    const drag = dragAt(([60, 20][pair]! - x2 / (1 + 0.004 * z2)) / 35);
    return {
      x2,
      z2,
      reading: 500 - 400 * drag + 15 * draw.normal(),
      clean: 500 + 3 * (block % 3),
      alone: 100,
      pair,
      block,
      cleanKey: "right",
      aloneKey: `${pair}`,
    };
  });
}

describe("blockRefits()", () => {
  test("gives the weighted fit of the drawn blocks, as a plain fit of every single point does", () => {
    for (const depths of [[0], [0, 40]]) {
      const given = points(depths), fit = fitDragPoints(given, 2), draw = chance(1, "tests/refits-draw");
      const { refit, blocks } = blockRefits(fit);
      expect(blocks).toBe(8);
      const width = depths.length > 1 ? 4 : 3;
      for (let k = 0; k < 5; k++) {
        const times = new Float64Array(8);
        for (let b = 0; b < 8; b++) times[draw.integer(8)]!++;
        const drawn = fit.data.points.flatMap((point, i) =>
          Array.from({ length: times[point.block]! }, () => ({ point, weight: Math.sqrt(fit.weights[i]!) }))
        );
        const plain = leastSquaresFit((t) =>
          drawn.map(({ point, weight }) => {
            const scale = width === 4 ? Math.max(0.1, 1 + t[3]! * point.z2) : 1;
            const drag = dragAt((t[point.pair]! - point.x2 / scale) / Math.exp(t[2]!));
            return weight * (point.reading - point.clean + drag * (point.clean - point.alone));
          }), [...fit.theta.subarray(0, width)]);
        if (plain.status !== "converged") throw new Error(plain.reason);
        const got = refit(times)!;
        for (let p = 0; p < width; p++) expect(got[p]).toBeCloseTo(plain.parameters[p]!, 3);
      }
    }
  });
});
