import { EigenvalueDecomposition, Matrix } from "ml-matrix";

/**
 * Covariance robust to anything that points of one block share, with the correction CR2 (Bell and McCaffrey 2002, Survey Methodology
 * 28:169-181): residuals of a block are multiplied by (I - H)^(-1/2), H the block's part of the hat matrix, before they are squared. Null where the derivatives cannot tell the
 * parameters apart. A block that alone carries a parameter adds nothing to it.
 */
export function clusterCovariance(
  blockOf: readonly number[],
  residuals: ArrayLike<number>,
  jacobian: Matrix,
): number[][] | null {
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
  for (const block of blocks) {
    const rows = blockOf.flatMap((each, i) => each === block ? [i] : []);
    const part = new Matrix(rows.map((i) => jacobian.getRow(i))).mmul(root);
    const inner = new EigenvalueDecomposition(part.transpose().mmul(part), { assumeSymmetric: true });
    // (I - B B')^(-1/2) e = e + B V diag(((1 - l)^(-1/2) - 1) / l) V' B' e, so B' of it is V diag((1 - l)^(-1/2)) V' B' e.
    const factors = inner.realEigenvalues.map((value) =>
      value > 1 - 1e-8 ? 0 : 1 / Math.sqrt(1 - Math.max(value, 0))
    );
    const score = part.transpose().mmul(Matrix.columnVector(rows.map((i) => residuals[i]!)));
    const corrected = inner.eigenvectorMatrix.mmul(Matrix.diag(factors)).mmul(
      inner.eigenvectorMatrix.transpose(),
    )
      .mmul(score);
    meat.add(corrected.mmul(corrected.transpose()));
  }
  return root.mmul(meat).mmul(root.transpose()).to2DArray();
}
