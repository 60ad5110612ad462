import { z } from "zod";
import { correctionSchema } from "./correction.ts";
import { checkFeatureTable, type FeatureTable } from "./feature_table.ts";

/** The three outcomes, in the order of their codes 0, 1, 2 and of the columns of every probability table. */
export const OUTCOMES = ["ferrous", "non-ferrous", "masked-good"] as const;

/** What a signal turned out to be. */
export type OutcomeName = typeof OUTCOMES[number];

/** What every engine is fitted with: a seed for its chance, and a weight of 0 or above a row (default: 1 each). */
export interface FitOptions {
  readonly seed: number;
  readonly weights?: Float64Array;
}

/** A method that learns outcomes from features. `fit` leaves its inputs untouched; same inputs and seed, same model. */
export interface Classifier {
  readonly name: string;
  fit(x: FeatureTable, outcome: Uint8Array, options: FitOptions): Model;
}

/** A fitted method. `probabilities` gives n x 3 by row, in the order of {@link OUTCOMES}; rows sum to 1, none is 0 or 1. */
export interface Model {
  probabilities(x: FeatureTable): Float64Array;
  toJSON(): ModelFile;
}

/** Version 2: asymmetry and turn change are in reading units; in version 1 they were in standard errors. */
export const MODEL_SCHEMA = "overiron-model/2";

/** The zod statement of a saved model's outer shape; `parameters` is each engine's own. */
export const modelFileSchema = z.strictObject({
  schema: z.literal(MODEL_SCHEMA),
  engine: z.string().min(1).max(100),
  name: z.string().min(1).max(200),
  learntFrom: z.number().int().positive(),
  /** The machine and settings it learnt with; absent where it was saved by itself. */
  learntOn: z.strictObject({
    machine: z.string().min(1).max(200),
    discrimination: z.string().min(1).max(100),
    scale: z.strictObject({ low: z.number(), high: z.number(), step: z.number().positive() }),
    ironBreak: z.number(),
    /** Names of the settings sets, null for signals that name none. */
    settings: z.array(z.string().max(200).nullable()).max(10_000),
  }).optional(),
  /** What its chances pass before they are seen; absent where they are the engine's own. */
  recalibration: correctionSchema.optional(),
  outcomes: z.tuple([z.literal("ferrous"), z.literal("non-ferrous"), z.literal("masked-good")]),
  features: z.array(z.string().max(200)).max(30_000),
  parameters: z.unknown(),
});

/** A fitted model as plain JSON: which engine, how many signals it learnt from, its features and its numbers. */
export type ModelFile = Readonly<z.infer<typeof modelFileSchema>>;

/** Makes the outer shape of a saved model. */
export function modelFile(parts: {
  readonly engine: string;
  readonly name: string;
  readonly learntFrom: number;
  readonly features: readonly string[];
  readonly parameters: unknown;
}): ModelFile {
  return { schema: MODEL_SCHEMA, outcomes: [...OUTCOMES], ...parts, features: [...parts.features] };
}

/**
 * Lifts probabilities off 0 and 1 as every model's are before they are seen: p' = (n p + 1) / (n + 3), n the signals learnt
 * from. It is one pseudo-signal an outcome (Laplace's rule of succession), so one floor for all makes log losses comparable.
 *
 * `probabilities` is n x 3 by row; a new array comes back. Throws RangeError when `learntFrom` is below 1 or a row does not
 * sum to 1 within 1e-9.
 *
 * @example
 * ```ts
 * import { floorProbabilities } from "overiron";
 * const lifted = floorProbabilities(Float64Array.of(1, 0, 0), 7);
 * if (Math.abs(lifted[0]! - 0.8) > 1e-12 || Math.abs(lifted[1]! - 0.1) > 1e-12) throw new Error(String(lifted));
 * ```
 */
export function floorProbabilities(probabilities: Float64Array, learntFrom: number): Float64Array {
  if (!(learntFrom >= 1)) {
    throw new RangeError(`Cannot floor probabilities: need 1 signal learnt from or more, got ${learntFrom}`);
  }
  const floored = new Float64Array(probabilities.length);
  for (let i = 0; i < probabilities.length; i += 3) {
    const sum = probabilities[i]! + probabilities[i + 1]! + probabilities[i + 2]!;
    if (!(Math.abs(sum - 1) < 1e-9)) {
      throw new RangeError(`Cannot floor probabilities: row ${i / 3} must sum to 1, got ${sum}`);
    }
    for (let k = 0; k < 3; k++) {
      floored[i + k] = (learntFrom * (probabilities[i + k]! / sum) + 1) / (learntFrom + 3);
    }
  }
  return floored;
}

/**
 * Checks what an engine is given to learn from, and gives the weights to use (1 each where none were given).
 *
 * Throws RangeError for no rows, lengths that differ, an outcome above 2, a weight below 0 or not finite, weights that are
 * all 0; TypeError for a table with a number that is not finite (see {@link checkFeatureTable}).
 */
export function checkFit(x: FeatureTable, outcome: Uint8Array, options: FitOptions): Float64Array {
  checkFeatureTable(x);
  if (x.n === 0) throw new RangeError("Cannot fit: need 1 signal with a known outcome or more, got 0");
  if (outcome.length !== x.n) {
    throw new RangeError(`Cannot fit: need one outcome a row, got ${outcome.length} for ${x.n} rows`);
  }
  const bad = outcome.find((code) => code > 2);
  if (bad !== undefined) throw new RangeError(`Cannot fit: outcomes are 0, 1 or 2, got ${bad}`);
  const weights = options.weights ?? new Float64Array(x.n).fill(1);
  if (weights.length !== x.n) {
    throw new RangeError(`Cannot fit: need one weight a row, got ${weights.length} for ${x.n} rows`);
  }
  let sum = 0;
  for (const weight of weights) {
    if (!(weight >= 0 && weight < Infinity)) {
      throw new RangeError(`Cannot fit: weights are finite and 0 or above, got ${weight}`);
    }
    sum += weight;
  }
  if (!(sum > 0)) throw new RangeError("Cannot fit: one weight must be above 0, got all 0");
  return weights;
}

/**
 * Counts outcome codes: how many of each of the three, in the order of {@link OUTCOMES}.
 *
 * @example
 * ```ts
 * import { outcomeCountsOf } from "overiron";
 * if (outcomeCountsOf(Uint8Array.of(0, 2, 2)).join() !== "1,0,2") throw new Error("wrong");
 * ```
 */
export function outcomeCountsOf(outcome: Uint8Array): [number, number, number] {
  const counts: [number, number, number] = [0, 0, 0];
  for (const code of outcome) counts[code as 0 | 1 | 2] += 1;
  return counts;
}
