export type { LogisticFailure } from "./_newton_logit.ts";
export * from "./accuracy.ts";
export * from "./autocorrelation.ts";
export * from "./balanced_accuracy.ts";
export * from "./beta_distribution.ts";
export * from "./binary_measures.ts";
export * from "./block_permutation_test.ts";
export {
  bootstrapByCluster,
  type BootstrapByClusterOptions,
  bootstrapReplicates,
  type RowStatistic,
} from "./bootstrap_by_cluster.ts";
export * from "./brier_score.ts";
export * from "./calibration_bins.ts";
export * from "./chance.ts";
export * from "./chi_squared_tail.ts";
export * from "./cluster_robust_covariance.ts";
export * from "./cluster_robust_mean.ts";
export { cohenKappa, type CohenKappaOptions } from "./cohen_kappa.ts";
export * from "./confusion_matrix.ts";
export * from "./estimate.ts";
export * from "./f_score.ts";
export * from "./interquartile_range.ts";
export * from "./inverse_probability_mean.ts";
export * from "./isotonic_regression.ts";
export * from "./kruskal_wallis_test.ts";
export * from "./least_squares_fit.ts";
export * from "./log_loss.ts";
export * from "./logistic_regression.ts";
export * from "./matthews_correlation.ts";
export * from "./mcnemar_test.ts";
export * from "./mean.ts";
export * from "./mean_tests.ts";
export * from "./measure.ts";
export * from "./median.ts";
export * from "./median_absolute_deviation.ts";
export * from "./multinomial_logistic.ts";
export * from "./murphy_decomposition.ts";
export * from "./net_benefit.ts";
export * from "./normal_distribution.ts";
export * from "./platt_scaling.ts";
export * from "./precision.ts";
export * from "./proportion_interval.ts";
export * from "./quantile.ts";
export * from "./ranked_probability_score.ts";
export * from "./recall.ts";
export * from "./shape.ts";
export * from "./share_estimate.ts";
export * from "./sign_flip_test.ts";
export * from "./standard_deviation.ts";
export * from "./student_distribution.ts";
export * from "./summarise.ts";
export * from "./trimmed_mean.ts";
export * from "./wald_estimate.ts";
export * from "./wilson_interval.ts";
export * from "./youden_index.ts";
