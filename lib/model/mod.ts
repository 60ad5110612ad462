export * from "./all_signals.ts";
export { baseRates } from "./base_rates.ts";
export * from "./brier_parts.ts";
export {
  type Classifier,
  type FitOptions,
  floorProbabilities,
  type Model,
  type ModelFile,
  modelFileSchema,
  outcomeCountsOf,
  type OutcomeName,
  OUTCOMES,
} from "./classifier.ts";
export { correctChances, correctedModel } from "./correct_chances.ts";
export { type Correction, correctionSchema } from "./correction.ts";
export * from "./could_be_either.ts";
export * from "./cross_validate.ts";
export * from "./feature_table.ts";
export { type Feature, FEATURES, featuresNamed, READING_FEATURES } from "./features.ts";
export * from "./folds.ts";
export { outcomeForest, type OutcomeForestOptions, outcomeTree } from "./forest.ts";
export * from "./grow_forest.ts";
export { loadModel, type LoadModelOptions, type ModelPlace } from "./load_model.ts";
export { saveModel } from "./save_model.ts";
export { ownCall } from "./own_call.ts";
export * from "./ratio_by_site.ts";
export * from "./recalibration.ts";
export * from "./recommend_engine.ts";
export {
  type RidgeCoefficient,
  ridgeCoefficients,
  ridgeLogistic,
  type RidgeLogisticOptions,
} from "./ridge_logistic.ts";
export * from "./ridge_penalty.ts";
export * from "./score_engine.ts";
export * from "./season_tables.ts";
export { secondOpinion, type SecondOpinionOptions } from "./second_opinion.ts";
export { stepRule } from "./step_rule.ts";
export { toneRule, type ToneRuleOptions } from "./tone_rule.ts";
export { twoClasses } from "./two_classes.ts";
export * from "./what_counts_allow.ts";
export * from "./feature_by_outcome.ts";
export * from "./separation_by_site.ts";
export * from "./study_table.ts";
export * from "./study_recalibration.ts";
export * from "./dug_and_passed.ts";
export * from "./dug_weights.ts";
export * from "./worst_misses.ts";
export * from "./worth_calibration.ts";
export * from "./permutation_importance.ts";
export * from "./cases_to_halve.ts";
export * from "./learning_curve.ts";
export * from "./partial_dependence.ts";
export * from "./through_time.ts";
export * from "./forest_workers.ts";
export * from "./prove_model.ts";
export * from "./longer_swept.ts";
export * from "./tree_questions.ts";
