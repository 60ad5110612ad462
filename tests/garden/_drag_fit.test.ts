import { describe, expect, test } from "vitest";
import { dragData, type DragPoint } from "../../lib/garden/_drag_data.ts";
import { degreesOf, dragAt, fitDragPoints } from "../../lib/garden/_drag_fit.ts";
import { addSums, emptySums, projectedRows } from "../../lib/garden/_drag_sums.ts";
import { chance, leastSquaresFit } from "../../lib/numbers/mod.ts";

/** Two pairs in six blocks, two directions, with noise in trials and controls. */
function noisyPoints(seed: number, depths: readonly number[] = [0]): DragPoint[] {
  const draw = chance(seed, "tests/drag-fit");
  const points: DragPoint[] = [];
  for (let block = 0; block < 6; block++) {
    for (const direction of ["right", "left"]) {
      const clean = 500 + 5 * draw.normal(), alone = [100 + 5 * draw.normal(), 150 + 5 * draw.normal()];
      for (let k = 0; k < 8; k++) {
        const pair = k % 2, gap = [0, 2, 4, 5, 7, 10, 12, 3][(k + block) % 8]!, x2 = (gap + 1.5) ** 2;
        const z2 = depths[block % depths.length]!;
        const drag = dragAt(([60, 25][pair]! - x2 / (1 + 0.004 * z2)) / 30);
        const reading = 500 - drag * (500 - [100, 150][pair]!) + 12 * draw.normal();
        const keys = { cleanKey: direction, aloneKey: `${pair} ${direction}` };
        points.push({ x2, z2, reading, clean, alone: alone[pair]!, pair, block, ...keys });
      }
    }
  }
  return points;
}

/** The same least squares written out plainly: every reading alone is a parameter of its own, every control a row of its own. */
function plainFit(points: readonly DragPoint[], weights: readonly number[], depth: boolean) {
  const cells = [...new Set(points.map((p) => `${p.block} ${p.cleanKey}`))];
  const slots = [...new Set(points.map((p) => `${p.block} ${p.cleanKey} ${p.aloneKey}`))];
  const cellOf = points.map((p) => cells.indexOf(`${p.block} ${p.cleanKey}`));
  const slotOf = points.map((p) => slots.indexOf(`${p.block} ${p.cleanKey} ${p.aloneKey}`));
  const clean = cells.map((_, k) => points[cellOf.indexOf(k)]!.clean);
  const alone = slots.map((_, k) => points[slotOf.indexOf(k)]!.alone);
  const own = depth ? 4 : 3;
  return leastSquaresFit(
    (t) => [
      ...points.map((p, i) => {
        const scale = depth ? Math.max(0.1, 1 + t[3]! * p.z2) : 1;
        const drag = dragAt((t[p.pair]! - p.x2 / scale) / Math.exp(t[2]!));
        const c = t[own + cellOf[i]!]!, a = t[own + cells.length + slotOf[i]!]!;
        return Math.sqrt(weights[i]!) * (p.reading - c + drag * (c - a));
      }),
      ...clean.map((value, k) => value - t[own + k]!),
      ...alone.map((value, k) => value - t[own + cells.length + k]!),
    ],
    [50, 30, Math.log(25), ...(depth ? [0] : []), ...clean, ...alone],
  );
}

describe("fitDragPoints()", () => {
  test("gives what a plain least-squares fit gives that carries every control as a parameter", () => {
    for (const depths of [[0], [0, 40, 80]]) {
      const points = noisyPoints(3, depths), depth = depths.length > 1;
      const fit = fitDragPoints(points, 2, { focus: 0 });
      const plain = plainFit(points, points.map(() => 1), depth);
      if (plain.status !== "converged") throw new Error(plain.reason);
      // Both settle where no parameter moves by 1e-6 of its standard error (about 1).
      expect(fit.q[0]).toBeCloseTo(plain.parameters[0]!, 4);
      expect(fit.q[1]).toBeCloseTo(plain.parameters[1]!, 4);
      expect(Math.log(fit.s)).toBeCloseTo(plain.parameters[2]!, 5);
      if (depth) expect(fit.f).toBeCloseTo(plain.parameters[3]!, 6);
    }
  });

  test("gives the plain weighted fit at its own weights", () => {
    const points = noisyPoints(5);
    const fit = fitDragPoints(points, 2);
    const weightOf = new Map(fit.data.points.map((point, i) => [point, fit.weights[i]!]));
    const plain = plainFit(points, points.map((point) => weightOf.get(point)!), false);
    if (plain.status !== "converged") throw new Error(plain.reason);
    expect(fit.q[0]).toBeCloseTo(plain.parameters[0]!, 4);
    expect(fit.q[1]).toBeCloseTo(plain.parameters[1]!, 4);
  });

  test("projects the derivatives as the plain fit's normal equations do", () => {
    const points = noisyPoints(7);
    const fit = fitDragPoints(points, 2, { focus: 0 });
    const plain = plainFit(points, points.map(() => 1), false);
    if (plain.status !== "converged") throw new Error(plain.reason);
    const sums = emptySums(fit.data);
    addSums(fit.data, fit.theta, sums, { weights: fit.weights, slopes: true });
    const rows = projectedRows(fit.data, fit.theta, sums, fit.weights);
    const width = 4;
    for (let a = 0; a < 3; a++) {
      for (let b = a; b < 3; b++) {
        const byRows = rows.reduce((sum, row) => sum + row.derivatives[a]! * row.derivatives[b]!, 0);
        expect(byRows / sums.normal[a * width + b]!).toBeCloseTo(1, 8);
      }
    }
    // The residuals are at right angles to every projected derivative at the solution.
    const slope = rows.reduce((sum, row) => sum + row.residual * row.derivatives[0]!, 0);
    expect(Math.abs(slope)).toBeLessThan(1e-3 * Math.sqrt(sums.normal[0]! * sums.squares));
    expect(rows.reduce((sum, row) => sum + row.residual ** 2, 0)).toBeCloseTo(sums.squares, 6);
  });

  test("does not depend on the order of the points", () => {
    const points = noisyPoints(9);
    const fit = fitDragPoints(points, 2), back = fitDragPoints([...points].reverse(), 2);
    expect(back.q[0]).toBeCloseTo(fit.q[0]!, 4);
    expect(back.points.at(-1)).toMatchObject({ block: points[0]!.block, x2: points[0]!.x2 });
  });

  test("is not led astray by a pair without any drag", () => {
    const points = noisyPoints(11);
    const flat = points.map((point) => point.pair === 1 ? { ...point, reading: point.clean } : point);
    const fit = fitDragPoints(flat, 2), lone = fitDragPoints(points.filter((point) => point.pair === 0), 1);
    expect(fit.converged).toBe(true);
    // The flat trials say nothing of q or s; they still steady the clean readings of their blocks, by a few reading units of 400.
    expect(Math.abs(fit.q[0]! - lone.q[0]!)).toBeLessThan(0.5);
    expect(fit.q.every(Number.isFinite)).toBe(true);
  });
});

describe("dragData()", () => {
  test("puts points that share a control into one cell and loses none", () => {
    const points = noisyPoints(1);
    const data = dragData(points, 2);
    expect(data.cellClean.length).toBe(12);
    expect(data.slotAlone.length).toBe(24);
    expect(new Set(data.points)).toEqual(new Set(points));
  });
});

describe("degreesOf()", () => {
  test("is blocks minus 1, or Satterthwaite's number where that is less than half of it", () => {
    expect(degreesOf({ degreesOfFreedom: [9.5] }, 0, 14)).toBe(13);
    expect(degreesOf({ degreesOfFreedom: [3.2] }, 0, 14)).toBe(3.2);
    expect(degreesOf({ degreesOfFreedom: [0] }, 0, 6)).toBe(5);
  });
});
