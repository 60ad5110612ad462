import { loadDigLog, parseMachines } from "../log/mod.ts";
import { chance, mean, studentQuantile } from "../numbers/mod.ts";
import {
  logCsv,
  MOST_SIGNALS_WITH_PROBABILITIES,
  seasonProbabilities,
  type SignalTruth,
  VIRTUAL_MACHINES,
  VIRTUAL_SEASON_FIELDS,
  virtualMachinesFile,
  virtualSeason,
} from "../virtual/mod.ts";
import { floorProbabilities, OUTCOMES } from "./classifier.ts";
import { couldBeEither } from "./could_be_either.ts";
import { crossValidate } from "./cross_validate.ts";
import { type Folds, groupFolds } from "./folds.ts";
import { outcomeForest } from "./forest.ts";
import { ridgeLogistic } from "./ridge_logistic.ts";
import { learningTables } from "./season_tables.ts";

/** Options of {@link proveModel}. */
export interface ProveModelOptions {
  /** Virtual seasons of each size. Default 250. */
  readonly seasons?: number;
  /** Signals of a season, dug or not. Default 600 and 3,000. */
  readonly sizes?: readonly number[];
  /** Default 1. */
  readonly seed?: number;
  /** Most dug signals a season whose true probabilities are worked out, drawn at random. Default 200. */
  readonly truths?: number;
  /** Trees of the forest. Default: the engine's own. */
  readonly trees?: number;
  /** Called with the seasons done and all of them. */
  readonly onProgress?: (done: number, all: number) => void;
}

/** A number a season: its mean over seasons with Student's 95 % interval, and how it spreads. */
export interface ProvenMean {
  readonly seasons: number;
  readonly mean: number;
  readonly low: number;
  readonly high: number;
  readonly standardDeviation: number;
  readonly least: number;
  readonly most: number;
}

/** What prediction sets of one class reached at one level. */
export interface ProvenCoverage {
  readonly outcome: typeof OUTCOMES[number];
  /** Share of the class's signals whose set held it, a season; seasons in which it could set its own threshold. */
  readonly covered: ProvenMean | null;
  /** Mean of 1 / (cases + 1): by so much a threshold from few cases may lie above the level. */
  readonly fewCases: number | null;
}

/** What seasons of one size showed. */
export interface ProvenSize {
  readonly signals: number;
  readonly seasons: number;
  /** Seasons without a fair split by site, left out of everything. */
  readonly withoutFolds: number;
  readonly dug: ProvenMean;
  readonly maskedGood: ProvenMean;
  /** Nats a signal by which an engine's log loss on unseen sites lies above that of the true probabilities. */
  readonly excess: { readonly forest: ProvenMean; readonly logistic: ProvenMean };
  /** Log loss of the forest on unseen sites less that on random folds of the same number: above 0, random folds flatter. */
  readonly flattery: ProvenMean;
  readonly level: number;
  readonly coverage: readonly ProvenCoverage[];
}

export interface ModelProof {
  readonly schema: "overiron-model-proof/1";
  readonly seed: number;
  readonly sizes: readonly ProvenSize[];
}

const LEVEL = 0.9;
const machine = VIRTUAL_MACHINES[0]!;

/** One season, scored but for the truth, whose probabilities are worked out for many seasons at once. */
interface Scored {
  readonly dug: number;
  readonly masked: number;
  readonly flattery: number;
  readonly covered: readonly (number | null)[];
  readonly cases: readonly number[];
  /** The signals whose truth is asked for: what is so, what came out, and the engines' log losses. */
  readonly asked: readonly SignalTruth[];
  readonly outcome: Uint8Array;
  readonly losses: { readonly forest: Float64Array; readonly logistic: Float64Array };
}

/**
 * Tries the personal model on virtual seasons whose truth is known: how far its log loss on unseen sites lies above that of the
 * true probabilities, whether "could be either" keeps its level, and by how much random folds flatter.
 *
 * A season is `signals` signals on one machine at nine sites, dug by the virtual person's rule; an engine learns from the dug ones, at its
 * own settings, and is scored on sites it has not seen. The truth knows how all virtual seasons are made and each signal's passes and
 * mineral ground, but, as the engines, not how much iron lies at the site: the mix of things is the mean of the sites'. Both pass the
 * same floor. Engines also see what the truth leaves out (cross passes, indicated depth, iron near), so an excess may lie below 0. Seeds of seasons begin
 * at 1,000,000 times `seed`, away from those any default was chosen by.
 *
 * Throws RangeError for numbers of seasons, signals or truths that are not whole or too few.
 *
 * @example
 * ```ts
 * import { proveModel } from "overiron";
 * const message = await proveModel({ seasons: 1 }).then(() => "", (error) => error.message);
 * if (!message.includes("2 or above")) throw new Error(message);
 * ```
 */
export async function proveModel(options: ProveModelOptions = {}): Promise<ModelProof> {
  const { seasons = 250, sizes = [600, 3000], seed = 1, truths = 200, onProgress = () => {} } = options;
  const least = [
    ["seasons", seasons, 2],
    ["truths", truths, 1],
    ...sizes.map((n) => ["signals", n, 50] as const),
  ] as const;
  for (const [name, value, from] of least) {
    if (!Number.isSafeInteger(value) || value < from) {
      throw new RangeError(`Cannot prove: ${name} must be a whole number of ${from} or above, got ${value}`);
    }
  }
  const proven: ProvenSize[] = [];
  let done = 0;
  for (const signals of sizes) {
    const found: Scored[] = [];
    for (let i = 0; i < seasons; i++) {
      const scored = await scoreSeason({ signals, seed: seed * 1_000_000 + i, truths, trees: options.trees });
      if (scored !== null) found.push(scored);
      onProgress(++done, seasons * sizes.length);
    }
    proven.push(judge(signals, seasons, found, seed));
  }
  return { schema: "overiron-model-proof/1", seed, sizes: proven };
}

async function scoreSeason(
  { signals, seed, truths, trees }: {
    readonly signals: number;
    readonly seed: number;
    readonly truths: number;
    readonly trees: number | undefined;
  },
): Promise<Scored | null> {
  const made = [...virtualSeason({ signals, seed, machines: [machine] })];
  const text = logCsv(VIRTUAL_SEASON_FIELDS, made.map(({ row }) => row));
  const { season } = await loadDigLog(
    { name: "season.csv", bytes: new TextEncoder().encode(text) },
    parseMachines(virtualMachinesFile([machine])),
  );
  const { signals: dug, x, outcome } = learningTables(season)[0]!;
  const folds = groupFolds(x, outcome);
  if (folds.kind !== "folds" || folds.unit !== "site") return null;
  const forest = outcomeForest(trees === undefined ? {} : { trees });
  const engines = [forest, ridgeLogistic()];
  const [unseen, logistic] = crossValidate(x, outcome, { seed, folds, engines });
  const shuffled = chance(seed, "model/prove folds").shuffle([...folds.of.keys()]);
  const random: Folds = { ...folds, of: Int32Array.from(shuffled, (at) => at % folds.count) };
  const [seen] = crossValidate(x, outcome, { seed, folds: random, engines: [forest] });
  if (unseen?.kind !== "predicted" || logistic?.kind !== "predicted" || seen?.kind !== "predicted") {
    return null;
  }
  const lossesOf = (p: Float64Array): Float64Array =>
    Float64Array.from(outcome, (code, i) => -Math.log(p[3 * i + code]!));
  const forestLosses = lossesOf(unseen.probabilities), logisticLosses = lossesOf(logistic.probabilities);
  const sets = couldBeEither(unseen.probabilities, outcome, { group: x.groups.site, level: LEVEL });
  const counts = OUTCOMES.map((_, k) => outcome.reduce((sum, code) => sum + (code === k ? 1 : 0), 0));
  const covered = OUTCOMES.map((name, k) => {
    if (counts[k] === 0 || sets.always.some((each) => each.name === name)) return null;
    const held = outcome.reduce((sum, code, i) => sum + (code === k ? sets.sets[i]! >> k & 1 : 0), 0);
    return held / counts[k]!;
  });
  const truthOf = new Map(made.map(({ truth }) => [truth.signalId, truth]));
  const drawn = chance(seed, "model/prove truths").shuffle([...outcome.keys()]).slice(0, truths);
  return {
    dug: x.n,
    masked: counts[2]!,
    flattery: mean(forestLosses) - mean(lossesOf(seen.probabilities)),
    covered,
    cases: counts,
    asked: drawn.map((i) => truthOf.get(dug[i]!.signal_id)!),
    outcome: Uint8Array.from(drawn, (i) => outcome[i]!),
    losses: {
      forest: Float64Array.from(drawn, (i) => forestLosses[i]!),
      logistic: Float64Array.from(drawn, (i) => logisticLosses[i]!),
    },
  };
}

/** Mean true log loss of each season, with the sites' mean iron for all. */
function trueLosses(found: readonly Scored[], seed: number): number[] {
  const means: number[] = [];
  for (let from = 0; from < found.length;) {
    let to = from, signals = 0;
    while (to < found.length && signals + found[to]!.asked.length <= MOST_SIGNALS_WITH_PROBABILITIES) {
      signals += found[to++]!.asked.length;
    }
    if (to === from) to++;
    const part = found.slice(from, to);
    const irons = new Map(part.flatMap(({ asked }) => asked.map(({ site }) => [site.site, site.iron])));
    const iron = mean([...irons.values()]);
    const known = seasonProbabilities(
      part.flatMap(({ asked }) => asked.map((truth) => ({ ...truth, site: { ...truth.site, iron } }))),
      { seed: seed + 500 },
    );
    if ("absent" in known) throw new RangeError(`Cannot prove: ${known.reason}`);
    let at = 0;
    for (const { asked, outcome, dug } of part) {
      const p = Float64Array.from(
        known.slice(at, at + asked.length).flatMap((
          each,
        ) => [each.ferrous, each.nonFerrous, each.maskedGood]),
      );
      at += asked.length;
      const floored = floorProbabilities(p, dug);
      means.push(
        mean(outcome.reduce<number[]>((all, code, i) => [...all, -Math.log(floored[3 * i + code]!)], [])),
      );
    }
    from = to;
  }
  return means;
}

function judge(signals: number, seasons: number, found: readonly Scored[], seed: number): ProvenSize {
  const truth = trueLosses(found, seed);
  const excess = (engine: "forest" | "logistic"): ProvenMean =>
    meanOf(found.map(({ losses }, i) => mean(losses[engine]) - truth[i]!));
  return {
    signals,
    seasons,
    withoutFolds: seasons - found.length,
    dug: meanOf(found.map(({ dug }) => dug)),
    maskedGood: meanOf(found.map(({ masked }) => masked)),
    excess: { forest: excess("forest"), logistic: excess("logistic") },
    flattery: meanOf(found.map(({ flattery }) => flattery)),
    level: LEVEL,
    coverage: OUTCOMES.map((outcome, k): ProvenCoverage => {
      const with_ = found.filter(({ covered }) => covered[k] !== null);
      return {
        outcome,
        covered: with_.length < 2 ? null : meanOf(with_.map(({ covered }) => covered[k]!)),
        fewCases: with_.length < 2 ? null : mean(with_.map(({ cases }) => 1 / (cases[k]! + 1))),
      };
    }),
  };
}

function meanOf(values: readonly number[]): ProvenMean {
  const seasons = values.length;
  if (seasons < 2) throw new RangeError(`Cannot prove: need 2 seasons with a fair split, got ${seasons}`);
  const middle = mean(values);
  const standardDeviation = Math.sqrt(
    values.reduce((sum, value) => sum + (value - middle) ** 2, 0) / (seasons - 1),
  );
  const half = studentQuantile(0.975, seasons - 1) * standardDeviation / Math.sqrt(seasons);
  return {
    seasons,
    mean: middle,
    low: middle - half,
    high: middle + half,
    standardDeviation,
    least: Math.min(...values),
    most: Math.max(...values),
  };
}
