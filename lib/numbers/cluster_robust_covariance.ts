import { checkSameLength } from "./_check_values.ts";
import { cholesky, inverseCholesky } from "./_cholesky.ts";
import { clusterRows } from "./_cluster_rows.ts";
import { type Absent, absent } from "./estimate.ts";
import type { LeastSquaresSolution } from "./least_squares_fit.ts";

/** The covariance of fitted parameters that allows for rows of one cluster being alike. */
export interface ClusterRobustCovariance {
  readonly covariance: readonly (readonly number[])[];
  readonly standardErrors: readonly number[];
  /** Clusters less one: the degrees of freedom for t intervals. */
  readonly degreesOfFreedom: number;
  readonly clusters: number;
}

/**
 * Gives the covariance of the parameters of a least-squares fit when rows come in clusters (trials of one block).
 *
 * @param fit A settled fit.
 * @param clusterIds The cluster of each row of the fit, a name or a number.
 * @returns The sandwich, its square roots and degrees of freedom; absent with no more clusters than parameters, where it says too
 * little. Variant: CR1, the plain sandwich times G / (G - 1) times (N - 1) / (N - P).
 *
 * Source: Liang and Zeger (1986), Biometrika 73:13-22; Cameron and Miller (2015), Journal of Human Resources 50:317-372, section II.
 * Throws RangeError when there is not one cluster a row.
 *
 * @example
 * ```ts
 * import { clusterRobustCovariance, leastSquaresFit } from "overiron";
 * const y = [1, 2, 4, 5, 2, 4], block = ["A", "A", "B", "B", "C", "C"];
 * const fit = leastSquaresFit(([mean]) => y.map((value) => value - mean!), [0]);
 * if (fit.status !== "converged") throw new Error("wrong");
 * const robust = clusterRobustCovariance(fit, block);
 * if (!("clusters" in robust) || robust.degreesOfFreedom !== 2) throw new Error("wrong");
 * ```
 */
export function clusterRobustCovariance(
  fit: LeastSquaresSolution,
  clusterIds: ArrayLike<number | string>,
): ClusterRobustCovariance | Absent {
  const rows = fit.residuals.length, size = fit.parameters.length;
  checkSameLength("allow for clusters", ["cluster ids", "rows of the fit"], [clusterIds.length, rows]);
  const clusters = clusterRows(clusterIds);
  const count = clusters.length;
  const n = { ...fit.n, clusters: count };
  if (count <= size) {
    return absent("too few", `${size} parameters need more than ${size} clusters, got ${count}`, n);
  }
  // Columns scaled to length 1, so that the units of the parameters do not matter to the inversion.
  const norms = Array.from({ length: size }, (_, j) => {
    let sum = 0;
    for (let i = 0; i < rows; i++) sum += fit.jacobian[i * size + j]! ** 2;
    return Math.sqrt(sum);
  });
  const at = (i: number, j: number): number => fit.jacobian[i * size + j]! / norms[j]!;
  const gram = new Float64Array(size * size), meat = new Float64Array(size * size);
  for (const members of clusters) {
    const score = new Float64Array(size);
    for (const i of members) {
      for (let a = 0; a < size; a++) {
        score[a]! += at(i, a) * fit.residuals[i]!;
        for (let b = 0; b < size; b++) gram[a * size + b]! += at(i, a) * at(i, b);
      }
    }
    for (let a = 0; a < size; a++) {
      for (let b = 0; b < size; b++) meat[a * size + b]! += score[a]! * score[b]!;
    }
  }
  const factor = cholesky(gram, size);
  if (factor === undefined) return absent("singular", "The derivatives do not tell the parameters apart", n);
  const bread = inverseCholesky(factor, size);
  const correction = count / (count - 1) * (rows - 1) / (rows - size);
  const covariance = Array.from({ length: size }, (_, a) =>
    Array.from({ length: size }, (_, b) => {
      let sum = 0;
      for (let k = 0; k < size; k++) {
        for (let l = 0; l < size; l++) {
          sum += bread[a * size + k]! * meat[k * size + l]! * bread[l * size + b]!;
        }
      }
      return correction * sum / (norms[a]! * norms[b]!);
    }));
  return {
    covariance,
    standardErrors: covariance.map((row, j) => Math.sqrt(Math.max(0, row[j]!))),
    degreesOfFreedom: count - 1,
    clusters: count,
  };
}
