import { baseRates } from "./base_rates.ts";
import { type Classifier, OUTCOMES } from "./classifier.ts";
import { crossValidate, type OutOfFold } from "./cross_validate.ts";
import { READING_FEATURES } from "./features.ts";
import { type Folds, type FoldsRefused, groupFolds } from "./folds.ts";
import { outcomeForest, outcomeTree } from "./forest.ts";
import { ownCall } from "./own_call.ts";
import { type Recommendation, recommendEngine } from "./recommend_engine.ts";
import { ridgeLogistic } from "./ridge_logistic.ts";
import { type EngineScore, scoreEngine } from "./score_engine.ts";
import type { LearningTable } from "./season_tables.ts";
import { secondOpinion } from "./second_opinion.ts";
import { stepRule } from "./step_rule.ts";
import { chancesToUse } from "./study_recalibration.ts";
import { toneRule } from "./tone_rule.ts";
import { twoClasses } from "./two_classes.ts";
import { type Allowance, whatCountsAllow } from "./what_counts_allow.ts";

/** Every engine on one table, on the same folds. */
export interface TableStudy {
  readonly table: LearningTable;
  readonly allowance: Allowance;
  readonly folds: Folds | FoldsRefused;
  /** What was kept whole in the folds and is resampled for intervals. */
  readonly groups: "sites" | "outings";
  readonly group: Int32Array;
  readonly outOfFold: readonly OutOfFold[];
  /** Scores of the engines that gave predictions, from the simplest to the least simple. */
  readonly scores: readonly EngineScore[];
  /** Null where there is no score. */
  readonly recommendation: Recommendation | null;
}

/** Options of {@link studyTable}. */
export interface StudyTableOptions {
  readonly seed: number;
  /** Ask ml-random-forest as well. Default true. */
  readonly askSecondOpinion?: boolean;
  /** Most folds. Default 10. */
  readonly mostFolds?: number;
}

function loggedIn(table: LearningTable, feature: string): boolean {
  const place = table.x.names.indexOf(feature);
  return place >= 0 && table.x.whyMissing[place]!.some((why) => why === 0);
}

/** The engines that a table's counts allow, from the simplest to the least simple. */
async function enginesFor(
  table: LearningTable,
  allowance: Allowance,
  askSecondOpinion: boolean,
): Promise<Classifier[]> {
  const { machine } = table;
  const engines: Classifier[] = [baseRates()];
  if (loggedIn(table, "ownCall")) engines.push(ownCall());
  if (loggedIn(table, "centre")) engines.push(toneRule(machine.iron_break));
  if (allowance.classes === "rules" || allowance.classes === "none") return engines;
  const { tones } = machine;
  if (tones.kind === "bands" && tones.breaks.length > 1 && loggedIn(table, "centre")) {
    const byBand = toneRule(machine.iron_break, { breaks: tones.breaks });
    engines.push({ name: "tone band", fit: byBand.fit });
  }
  if (loggedIn(table, "aboveSiteIron")) engines.push(stepRule());
  const features = READING_FEATURES.filter((feature) => table.x.names.includes(feature));
  if (features.length > 0) {
    engines.push(ridgeLogistic({ features }));
    if (loggedIn(table, "ownCall")) {
      engines.push(ridgeLogistic({ name: "logistic and own call", features: [...features, "ownCall"] }));
    }
    engines.push(outcomeTree({ features }), outcomeForest({ features }));
    if (askSecondOpinion) engines.push(await secondOpinion({ features, trees: 10, mostRows: 80 }));
  }
  return allowance.classes === "two" ? engines.map(twoClasses) : engines;
}

/**
 * Holds every engine that a table's counts allow against the same unseen sites, and recommends one.
 *
 * Folds keep sites whole (see {@link groupFolds}); scores have intervals by what was kept whole; the recommendation is the
 * simplest engine not clearly worse than the best. Where the counts carry only two classes the goods are taken together (see
 * {@link twoClasses}); where they carry none only the rules are held up; where no fair split exists there is no score, and
 * `folds` says why. ml-random-forest, a second opinion from outside, learns from 80 signals of each training part at most and
 * with 10 trees, for time; it is scored and never recommended. Asynchronous, since it is loaded only when it is asked.
 *
 * @example
 * ```ts
 * import { studyTable } from "overiron";
 * const none = new Int32Array(0);
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * const x = { n: 0, names: ["centre"], columns: [new Float64Array(0)], whyMissing: [new Uint8Array(0)], groups: { site: none, outing: none, observer: none } };
 * const leftOut = { unknown: 0, "nothing-found": 0, stopped: 0, hazard: 0, "not-dug": 0 };
 * const table = { machine, discrimination: "none" as const, signals: [], x, outcome: new Uint8Array(0), leftOut };
 * const study = await studyTable(table, { seed: 1 });
 * if (study.folds.kind !== "refused" || study.recommendation !== null) throw new Error("a score from nothing");
 * ```
 */
export async function studyTable(table: LearningTable, options: StudyTableOptions): Promise<TableStudy> {
  const { seed, askSecondOpinion = true, mostFolds = 10 } = options;
  const { x, outcome } = table;
  const allowance = whatCountsAllow(outcome);
  const folds = groupFolds(x, outcome, { most: mostFolds });
  const unit = folds.kind === "folds" ? folds.unit : "site";
  const groups = unit === "site" ? "sites" as const : "outings" as const;
  const group = x.groups[unit];
  const bare = { table, allowance, folds, groups, group, outOfFold: [], scores: [], recommendation: null };
  if (folds.kind === "refused" || allowance.classes === "none") return bare;
  const engines = await enginesFor(table, allowance, askSecondOpinion);
  const outOfFold = crossValidate(x, outcome, { seed, folds, engines });
  const scores = outOfFold.flatMap((each) =>
    each.kind === "predicted"
      ? [scoreEngine(each.name, {
        outcome,
        probabilities: each.probabilities,
        site: group,
        groups,
        classes: allowance.classes === "three" ? 3 : 2,
      })]
      : []
  );
  // The second opinion is heard, never recommended.
  const own = scores.filter(({ name }) => name !== "ml-random-forest");
  return { ...bare, outOfFold, scores, recommendation: recommendEngine(own, { site: group, groups }) };
}

/**
 * Gives an engine of a study by its name, to be fitted again: as it was asked there, goods taken together where the counts carry no
 * more. Throws RangeError for a name that is none of its engines, or for the second opinion.
 *
 * @example
 * ```ts
 * import { studyEngine, studyTable } from "overiron";
 * const none = new Int32Array(0);
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * const x = { n: 0, names: ["centre"], columns: [new Float64Array(0)], whyMissing: [new Uint8Array(0)], groups: { site: none, outing: none, observer: none } };
 * const leftOut = { unknown: 0, "nothing-found": 0, stopped: 0, hazard: 0, "not-dug": 0 };
 * const table = { machine, discrimination: "none" as const, signals: [], x, outcome: new Uint8Array(0), leftOut };
 * const engine = await studyEngine(await studyTable(table, { seed: 1 }), "base rates");
 * if (engine.name !== "base rates") throw new Error(engine.name);
 * ```
 */
export async function studyEngine(study: TableStudy, name: string): Promise<Classifier> {
  const engines = await enginesFor(study.table, study.allowance, false);
  const found = engines.find((engine) => engine.name === name);
  if (!found) {
    throw new RangeError(
      `Cannot give engine: it must be one of ${
        engines.map((engine) => engine.name).join(", ")
      }, got "${name}"`,
    );
  }
  return found;
}

/** An out-of-fold prediction as a line of a file: probabilities to six decimals, adding up to 1. */
export interface PredictionRow {
  readonly signal: string;
  readonly outcome: string;
  readonly fold: string;
  readonly model: string;
  readonly ferrous: number;
  readonly nonFerrous: number;
  readonly maskedGood: number;
}

/** Most lines for which every engine is written out. */
const MOST_ROWS = 20000;

/**
 * Gives the out-of-fold predictions of studies as lines, study by study, engine by engine, signal by signal. Where the chances that dig
 * rules go by are not all the recommended engine's own (see `chancesToUse`), they follow as "corrected" lines behind its own.
 *
 * Above 20,000 lines only the base rates, the recommended and the best engine are written out.
 *
 * @example
 * ```ts
 * import { predictionRows } from "overiron";
 * if (predictionRows([]).length !== 0) throw new Error("lines from nothing");
 * ```
 */
export function predictionRows(studies: readonly TableStudy[]): PredictionRow[] {
  const all = studies.reduce((sum, { table, outOfFold }) => sum + table.x.n * outOfFold.length, 0);
  return studies.flatMap((study) => {
    const { table, folds, outOfFold, recommendation } = study;
    if (folds.kind !== "folds") return [];
    const rowsOf = (model: string, probabilities: Float64Array): PredictionRow[] =>
      table.signals.map(({ signal_id }, i): PredictionRow => {
        const ferrous = Number(probabilities[3 * i]!.toFixed(6));
        const nonFerrous = Number(probabilities[3 * i + 1]!.toFixed(6));
        return {
          signal: signal_id,
          outcome: OUTCOMES[table.outcome[i] as 0 | 1 | 2],
          fold: String(folds.of[i]! + 1),
          model,
          ferrous,
          nonFerrous,
          maskedGood: Number((1 - ferrous - nonFerrous).toFixed(6)),
        };
      });
    const kept = outOfFold.filter(({ name }) =>
      all <= MOST_ROWS || ["base rates", recommendation?.recommended, recommendation?.best].includes(name)
    );
    return kept.flatMap((engine) => {
      if (engine.kind !== "predicted") return [];
      const { name, probabilities } = engine, own = rowsOf(name, probabilities);
      const used = name === recommendation?.recommended ? chancesToUse(study, name) : null;
      return used === null || used.every((chance, at) => chance === probabilities[at])
        ? own
        : [...own, ...rowsOf(`${name}, corrected`, used)];
    });
  });
}

/**
 * Gives the confusion matrix that a study's counts allow: three outcomes, or ferrous against worth a hole where the goods are
 * taken together. Rows: what came out; columns: what the engine held likeliest. Throws RangeError for an engine without a score.
 *
 * @example
 * ```ts
 * import { studyConfusion, studyTable } from "overiron";
 * const none = new Int32Array(0);
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * const x = { n: 0, names: ["centre"], columns: [new Float64Array(0)], whyMissing: [new Uint8Array(0)], groups: { site: none, outing: none, observer: none } };
 * const leftOut = { unknown: 0, "nothing-found": 0, stopped: 0, hazard: 0, "not-dug": 0 };
 * const table = { machine, discrimination: "none" as const, signals: [], x, outcome: new Uint8Array(0), leftOut };
 * const study = await studyTable(table, { seed: 1 });
 * let message = "";
 * try {
 *   studyConfusion(study, "forest");
 * } catch (error) {
 *   message = (error as Error).message;
 * }
 * if (!message.includes("must have a score")) throw new Error(message);
 * ```
 */
export function studyConfusion(
  study: TableStudy,
  engine: string,
): { readonly outcomes: readonly string[]; readonly counts: readonly (readonly number[])[] } {
  const score = study.scores.find(({ name }) => name === engine);
  if (!score) {
    throw new RangeError(`Cannot give confusion matrix: the engine must have a score, got "${engine}"`);
  }
  return { outcomes: score.classes, counts: score.confusion };
}
