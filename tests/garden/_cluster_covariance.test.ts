import { inverse, Matrix } from "ml-matrix";
import { describe, expect, test } from "vitest";
import { clusterCovariance } from "../../lib/garden/_cluster_covariance.ts";
import { chance } from "../../lib/numbers/mod.ts";

describe("clusterCovariance()", () => {
  test("gives the variance of the mean of block means for equal blocks and a mean as the only parameter", () => {
    // Bell and McCaffrey (2002): with equal blocks CR2 of a mean is the unbiased one, sum (m_g - m)^2 / (G (G - 1)).
    const values = [3, 5, 1, 9, 4, 8, 2, 2, 7, 6, 0, 1];
    const blocks = values.map((_, i) => Math.floor(i / 3));
    const mean = values.reduce((a, b) => a + b, 0) / values.length;
    const means = [0, 1, 2, 3].map((g) => (values[3 * g]! + values[3 * g + 1]! + values[3 * g + 2]!) / 3);
    const expected = means.reduce((sum, m) => sum + (m - mean) ** 2, 0) / (4 * 3);
    const jacobian = new Matrix(values.map(() => [1]));
    const found = clusterCovariance(blocks, values.map((v) => v - mean), jacobian)!;
    const variance = found.covariance[0]![0]!;
    // Equal blocks and a mean alone: blocks minus 1.
    expect(found.degreesOfFreedom[0]).toBeCloseTo(3, 10);
    expect(variance).toBeCloseTo(expected, 12);
  });

  test("equals the definition written out with the full hat matrix", () => {
    const draws = chance(3, "tests/cr2");
    const rows = 20, blocks = Array.from({ length: rows }, (_, i) => i % 5);
    const x = new Matrix(Array.from({ length: rows }, () => [1, draws.normal(), draws.normal()]));
    const e = Array.from({ length: rows }, () => draws.normal());
    const bread = inverse(x.transpose().mmul(x));
    const meat = Matrix.zeros(3, 3);
    for (let g = 0; g < 5; g++) {
      const own = blocks.flatMap((b, i) => b === g ? [i] : []);
      const part = new Matrix(own.map((i) => x.getRow(i)));
      const inside = Matrix.eye(own.length).sub(part.mmul(bread).mmul(part.transpose()));
      // (I - H)^(-1/2) by the iteration of Denman and Beavers (1976), independent of the eigenvalues used in the code.
      let y = inside.clone(), z = Matrix.eye(own.length);
      for (let k = 0; k < 60; k++) {
        const [ny, nz] = [Matrix.add(y, inverse(z)).mul(0.5), Matrix.add(z, inverse(y)).mul(0.5)];
        [y, z] = [ny, nz];
      }
      const score = part.transpose().mmul(z).mmul(Matrix.columnVector(own.map((i) => e[i]!)));
      meat.add(score.mmul(score.transpose()));
    }
    const expected = bread.mmul(meat).mmul(bread).to2DArray();
    const got = clusterCovariance(blocks, e, x)!.covariance;
    // Two routes in doubles: equal to rounding.
    got.forEach((row, i) => row.forEach((value, j) => expect(value).toBeCloseTo(expected[i]![j]!, 12)));
  });

  test("is null where two columns are the same", () => {
    const jacobian = new Matrix([[1, 1], [2, 2], [3, 3], [4, 4]]);
    expect(clusterCovariance([0, 0, 1, 1], [1, -1, 1, -1], jacobian)).toBeNull();
  });
});
