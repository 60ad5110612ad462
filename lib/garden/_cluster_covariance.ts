import { EigenvalueDecomposition, Matrix } from "ml-matrix";

export interface ClusterCovariance {
  readonly covariance: readonly (readonly number[])[];
  /** Satterthwaite's degrees of freedom of each parameter's t: at most blocks minus 1 where blocks are alike, fewer where some weigh more. */
  readonly degreesOfFreedom: readonly number[];
}

/**
 * Covariance robust to anything that points of one block share, with the correction CR2 and its degrees of freedom (Bell and McCaffrey 2002, Survey
 * Methodology 28:169-181; Pustejovsky and Tipton 2018, J. Business & Economic Statistics 36:672-683): residuals of a block are multiplied
 * by (I - H)^(-1/2), H the block's part of the hat matrix, before they are squared. Null where the derivatives cannot tell the
 * parameters apart. A block that alone carries a parameter adds nothing to it.
 */
export function clusterCovariance(
  blockOf: readonly number[],
  residuals: ArrayLike<number>,
  jacobian: Matrix,
): ClusterCovariance | null {
  const width = jacobian.columns;
  const normal = jacobian.transpose().mmul(jacobian);
  const scale = normal.diag().map((value) => value > 0 ? 1 / Math.sqrt(value) : 0);
  if (scale.includes(0)) return null;
  const scaling = Matrix.diag(scale);
  const eigen = new EigenvalueDecomposition(scaling.mmul(normal).mmul(scaling), { assumeSymmetric: true });
  if (Math.min(...eigen.realEigenvalues) < 1e-9) return null;
  // root * root' = inverse of the normal matrix.
  const root = scaling.mmul(eigen.eigenvectorMatrix).mmul(
    Matrix.diag(eigen.realEigenvalues.map((value) => 1 / Math.sqrt(value))),
  );
  const meat = Matrix.zeros(width, width);
  const blocks = [...new Set(blockOf)];
  /** By block, of each parameter's influence: its squared length, and its part in the space of the parameters. */
  const lengths: number[][] = [], shadows: Matrix[] = [];
  for (const block of blocks) {
    const rows = blockOf.flatMap((each, i) => each === block ? [i] : []);
    const part = new Matrix(rows.map((i) => jacobian.getRow(i))).mmul(root);
    const inner = new EigenvalueDecomposition(part.transpose().mmul(part), { assumeSymmetric: true });
    const vectors = inner.eigenvectorMatrix;
    // (I - B B')^(-1/2) e = e + B V diag(((1 - l)^(-1/2) - 1) / l) V' B' e, so B' of it is V diag((1 - l)^(-1/2)) V' B' e.
    const factors = inner.realEigenvalues.map((value) =>
      value > 1 - 1e-8 ? 0 : 1 / Math.sqrt(1 - Math.max(value, 0))
    );
    const score = part.transpose().mmul(Matrix.columnVector(rows.map((i) => residuals[i]!)));
    const corrected = vectors.mmul(Matrix.diag(factors)).mmul(vectors.transpose()).mmul(score);
    meat.add(corrected.mmul(corrected.transpose()));
    const turned = vectors.transpose().mmul(root.transpose());
    const shares = factors.map((factor, k) => factor * Math.max(inner.realEigenvalues[k]!, 0));
    shadows.push(vectors.mmul(Matrix.diag(shares)).mmul(turned));
    lengths.push(
      Array.from(
        { length: width },
        (_, c) => factors.reduce((sum, factor, k) => sum + factor * shares[k]! * turned.get(k, c) ** 2, 0),
      ),
    );
  }
  const degreesOfFreedom = Array.from({ length: width }, (_, c) => {
    let trace = 0, squares = 0;
    for (let a = 0; a < blocks.length; a++) {
      for (let b = 0; b < blocks.length; b++) {
        let dot = 0;
        for (let k = 0; k < width; k++) dot += shadows[a]!.get(k, c) * shadows[b]!.get(k, c);
        const entry = (a === b ? lengths[a]![c]! : 0) - dot;
        if (a === b) trace += entry;
        squares += entry * entry;
      }
    }
    return squares > 0 ? trace * trace / squares : 0;
  });
  return { covariance: root.mmul(meat).mmul(root.transpose()).to2DArray(), degreesOfFreedom };
}
