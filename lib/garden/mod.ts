export * from "./drag_curve.ts";
export * from "./drift_of_trials.ts";
export * from "./fit_drag_curves.ts";
export * from "./predict_drag.ts";
export * from "./reading_tolerance.ts";
export * from "./trial_drift.ts";
