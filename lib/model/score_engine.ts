import type { Estimate } from "../numbers/mod.ts";
import { OUTCOMES } from "./classifier.ts";
import { ratioBySite } from "./ratio_by_site.ts";
import { separationBySite } from "./separation_by_site.ts";

/** What is told apart where masked goods are too few for a class of their own. */
export const TWO_CLASSES: readonly string[] = ["ferrous", "worth a hole"];

/** How well one engine's probabilities fit the outcomes of signals it had not seen. */
export interface EngineScore {
  readonly name: string;
  /** Mean of -ln(probability given to what came out): nats a signal, 0 or above, lower is better. */
  readonly logLoss: Estimate;
  /** Mean of the squared error summed over the three outcomes (Brier 1950, two-sided form): 0 to 2, lower is better. */
  readonly brier: Estimate;
  /** What is told apart in the counts below: the three outcomes, or ferrous and "worth a hole". */
  readonly classes: readonly string[];
  /** Share of signals for which the likeliest class came out. */
  readonly accuracy: Estimate;
  /** Chance that the engine ranks a signal worth a hole above a ferrous one: the area under the ROC curve. */
  readonly worthArea: Estimate;
  /** Chance that it gives a masked good a higher chance to be one than it gives a ferrous signal. */
  readonly maskedArea: Estimate;
  /** Rows: the class that came out; columns: the likeliest class by the engine. */
  readonly confusion: readonly (readonly number[])[];
  /** Of the signals of this class, the share so called; absent where there is none. */
  readonly recall: readonly Estimate[];
  /** Of the signals so called, the share of this class; absent where none is so called. */
  readonly precision: readonly Estimate[];
  /** -ln(probability given to what came out), one a signal. */
  readonly losses: Float64Array;
}

/**
 * The likeliest outcome of each row of n x 3 probabilities; of equals, the first.
 *
 * @example
 * ```ts
 * import { likeliest } from "overiron";
 * if (likeliest(Float64Array.of(0.2, 0.5, 0.3))[0] !== 1) throw new Error("wrong");
 * ```
 */
export function likeliest(probabilities: Float64Array): Uint8Array {
  const out = new Uint8Array(probabilities.length / 3);
  for (let i = 0; i < out.length; i++) {
    for (let k = 1; k < 3; k++) {
      if (probabilities[3 * i + k]! > probabilities[3 * i + out[i]!]!) out[i] = k;
    }
  }
  return out;
}

/**
 * Scores out-of-fold probabilities: log loss, Brier score, accuracy, areas under the ROC curve, confusion matrix, recall and precision a class, with
 * intervals by site (see {@link ratioBySite}).
 *
 * `outcome` is 0, 1 or 2 a row and `probabilities` n x 3 by row, none of them 0. `site` is what was kept whole. Throws
 * RangeError when lengths differ or a probability of what came out is not within (0, 1].
 *
 * @example
 * ```ts
 * import { isPresent, scoreEngine } from "overiron";
 * const p = Float64Array.of(0.8, 0.1, 0.1, 0.2, 0.7, 0.1);
 * const score = scoreEngine("mine", { outcome: Uint8Array.of(0, 1), probabilities: p, site: Int32Array.of(0, 1) });
 * if (!isPresent(score.logLoss)) throw new Error("absent");
 * if (Math.abs(score.logLoss.value - (-Math.log(0.8) - Math.log(0.7)) / 2) > 1e-12) throw new Error("wrong");
 * ```
 */
export function scoreEngine(
  name: string,
  options: {
    readonly outcome: Uint8Array;
    readonly probabilities: Float64Array;
    readonly site: Int32Array;
    /** What the groups are called. Default "sites". */
    readonly groups?: string;
    /** 2: non-ferrous and masked good are one class, "worth a hole", in accuracy, recall and precision. Default 3. */
    readonly classes?: 2 | 3;
  },
): EngineScore {
  const { outcome, probabilities, site, groups = "sites", classes = 3 } = options;
  const n = outcome.length;
  if (probabilities.length !== 3 * n || site.length !== n) {
    throw new RangeError(
      `Cannot score ${name}: need 3 probabilities and one site a row, got ${probabilities.length} and ${site.length} for ${n} rows`,
    );
  }
  const losses = new Float64Array(n), squares = new Float64Array(n), right = new Float64Array(n);
  const names = classes === 3 ? OUTCOMES : TWO_CLASSES;
  const truth = classes === 3 ? outcome : outcome.map((code) => Math.min(code, 1));
  const called = classes === 3
    ? likeliest(probabilities)
    : truth.map((_, i) => probabilities[3 * i]! >= 0.5 ? 0 : 1);
  const confusion = names.map(() => names.map(() => 0));
  for (let i = 0; i < n; i++) {
    const p = probabilities[3 * i + outcome[i]!]!;
    if (!(p > 0 && p <= 1 + 1e-9)) {
      throw new RangeError(
        `Cannot score ${name}: the probability of what came out must be above 0, got ${p} in row ${i}`,
      );
    }
    losses[i] = -Math.log(Math.min(1, p));
    for (let k = 0; k < 3; k++) squares[i]! += (probabilities[3 * i + k]! - (k === outcome[i] ? 1 : 0)) ** 2;
    right[i] = called[i] === truth[i] ? 1 : 0;
    confusion[truth[i]!]![called[i]!]! += 1;
  }
  const one = new Float64Array(n).fill(1);
  const share = { kind: "share", groups } as const;
  const flags = (of: Uint8Array, k: number) => Float64Array.from(of, (code) => code === k ? 1 : 0);
  const both = (k: number) => Float64Array.from(truth, (code, i) => code === k && called[i] === k ? 1 : 0);
  return {
    name,
    classes: names,
    logLoss: ratioBySite(losses, one, site, { groups }),
    brier: ratioBySite(squares, one, site, { groups }),
    accuracy: ratioBySite(right, one, site, share),
    worthArea: separationBySite(
      Float64Array.from(outcome, (_, i) => 1 - probabilities[3 * i]!),
      Array.from(outcome, (code) => Math.min(code, 1)),
      site,
      { groups, kinds: ["worth a hole", "ferrous"] },
    ),
    maskedArea: separationBySite(
      Float64Array.from(outcome, (_, i) => probabilities[3 * i + 2]!),
      Array.from(outcome, (code) => code === 1 ? -1 : code / 2),
      site,
      { groups, kinds: ["masked good", "ferrous"] },
    ),
    confusion,
    recall: names.map((_, k) =>
      ratioBySite(both(k), flags(truth, k), site, { ...share, nothing: "none met" })
    ),
    precision: names.map((_, k) =>
      ratioBySite(both(k), flags(called, k), site, { ...share, nothing: "never called" })
    ),
    losses,
  };
}
