import { checkLevel } from "./_check_values.ts";
import { margins } from "./_margins.ts";
import type { ConfusionMatrix } from "./confusion_matrix.ts";
import { absent, type Estimate, present } from "./estimate.ts";
import { normalQuantile } from "./normal_distribution.ts";

export interface CohenKappaOptions {
  /**
   * How much a disagreement counts: "none" as much as any other, "linear" or "quadratic" in the distance between the classes,
   * which must then stand in order. Default "none".
   */
  readonly weights?: "none" | "linear" | "quadratic";
  /** Level, above 0 and below 1. Default 0.95. */
  readonly level?: number;
  /** Name of the unit counted. Default "cases". */
  readonly unit?: string;
}

/**
 * Gives Cohen's kappa: how far two judgements of the same cases agree beyond what their totals alone would bring about.
 *
 * @param matrix Counts, one judge by row, the other by column.
 * @returns At most 1, 0 for agreement as by chance; absent without cases or where chance alone gives full agreement. The interval
 * is normal, with the large-sample standard error of Fleiss, Cohen and Everitt (1969), Psychological Bulletin 72:323-327; it is cut
 * at -1 and 1.
 *
 * Sources: Cohen (1960), Educational and Psychological Measurement 20:37-46; weighted: Cohen (1968), Psychological Bulletin
 * 70:213-220, with agreement weights 1 - d/(k - 1) or 1 - (d/(k - 1))^2.
 * Throws RangeError for a level outside 0 to 1.
 *
 * @example
 * ```ts
 * import { cohenKappa, confusionFromCounts, isPresent } from "overiron";
 * const kappa = cohenKappa(confusionFromCounts([[20, 5], [10, 15]]));
 * if (!isPresent(kappa) || Math.abs(kappa.value - 0.4) > 1e-12) throw new Error("wrong");
 * ```
 */
export function cohenKappa(matrix: ConfusionMatrix, options: CohenKappaOptions = {}): Estimate {
  const { level = 0.95, unit = "cases" } = options;
  checkLevel("give Cohen's kappa", level);
  const parts = kappaParts(matrix, options.weights ?? "none");
  const n = { [unit]: matrix.n };
  if (parts === undefined) {
    return absent(
      "undefined",
      "Kappa needs cases, and judges who do not both use one and the same class alone",
      n,
    );
  }
  const half = -normalQuantile((1 - level) / 2) * parts.standardError;
  const low = Math.max(-1, parts.kappa - half), high = Math.min(1, parts.kappa + half);
  return present(parts.kappa, { low, high, level, method: "normal, Fleiss-Cohen-Everitt" }, n);
}

/** Kappa with its two standard errors: Fleiss, Cohen and Everitt's, and the simpler one of Cohen (1960). */
export function kappaParts(
  matrix: ConfusionMatrix,
  weights: "none" | "linear" | "quadratic",
): { kappa: number; standardError: number; standardErrorCohen: number } | undefined {
  const k = matrix.labels.length, n = matrix.n;
  if (n === 0) return undefined;
  const { rows, columns } = margins(matrix);
  const weight = (i: number, j: number): number => {
    if (weights === "none") return i === j ? 1 : 0;
    const distance = Math.abs(i - j) / Math.max(1, k - 1);
    return 1 - (weights === "linear" ? distance : distance ** 2);
  };
  let observed = 0, expected = 0;
  const rowWeight = rows.map(() => 0), columnWeight = rows.map(() => 0);
  for (let i = 0; i < k; i++) {
    for (let j = 0; j < k; j++) {
      observed += weight(i, j) * matrix.counts[i]![j]! / n;
      expected += weight(i, j) * rows[i]! * columns[j]! / (n * n);
      rowWeight[i]! += weight(i, j) * columns[j]! / n;
      columnWeight[j]! += weight(i, j) * rows[i]! / n;
    }
  }
  if (1 - expected < 1e-12) return undefined;
  const kappa = (observed - expected) / (1 - expected);
  let sum = 0;
  for (let i = 0; i < k; i++) {
    for (let j = 0; j < k; j++) {
      const part = weight(i, j) - (rowWeight[i]! + columnWeight[j]!) * (1 - kappa);
      sum += matrix.counts[i]![j]! / n * part * part;
    }
  }
  const variance = sum - (kappa - expected * (1 - kappa)) ** 2;
  return {
    kappa,
    standardError: Math.sqrt(Math.max(0, variance) / n) / (1 - expected),
    standardErrorCohen: Math.sqrt(observed * (1 - observed) / n) / (1 - expected),
  };
}
