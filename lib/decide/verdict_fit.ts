import { createHash } from "node:crypto";
import { type MachinesFile, type Season, WORDS } from "../log/mod.ts";
import { absent, conformalScores, conformalThreshold, isMeasured, quantile } from "../numbers/mod.ts";
import {
  baseRates,
  type Classifier,
  correctedModel,
  type LearningTable,
  learningTables,
  outcomeCountsOf,
  outcomeForest,
  outcomeTree,
  READING_FEATURES,
  recommendEngine,
  repeatNoiseOf,
  ridgeLogistic,
  stepRule,
  studyRecalibration,
  studyTable,
  type TableStudy,
  toneRule,
  twoClasses,
} from "../model/mod.ts";
import type { CardCounts, FieldRule, FieldRules } from "./verdict_rule.ts";

/** Engines that a field rule may be: none leans on the person's own call, which it is held against. */
export const FIELD_ENGINES = [
  "base rates",
  "tone rule",
  "tone band",
  "step rule",
  "logistic",
  "single tree",
  "forest",
] as const;
export type FieldEngine = typeof FIELD_ENGINES[number];

/** Options of {@link fitFieldRules}. */
export interface FitFieldRulesOptions {
  readonly seed: number;
  /** Default: the simplest engine of `FIELD_ENGINES` not clearly worse than the best of them, on sites it had not seen. */
  readonly engine?: FieldEngine;
  /** Studies of the season's learning tables with the same seed, where they were made already. Default: made here. */
  readonly studies?: readonly TableStudy[];
  /** The share of cases that "could be either" may miss. Default 0.1. */
  readonly miss?: number;
}

function classifierOf(name: FieldEngine, table: LearningTable): Classifier {
  const { machine, x } = table;
  const features = READING_FEATURES.filter((feature) => x.names.includes(feature));
  switch (name) {
    case "base rates":
      return baseRates();
    case "tone rule":
      return toneRule(machine.iron_break);
    case "tone band":
      return toneRule(machine.iron_break, { breaks: machine.tones.breaks });
    case "step rule":
      return stepRule();
    case "logistic":
      return ridgeLogistic({ features });
    case "single tree":
      return outcomeTree({ features });
    case "forest":
      return outcomeForest({ features });
  }
}

const columnOf = (table: LearningTable, name: string): Float64Array =>
  table.x.columns[table.x.names.indexOf(name)]!;

const toStep = (value: number, step: number): number => Math.round(value / step) * step;

/** Breaks at even shares of the values, on whole steps of the scale, without doubles. */
function breaksOf(values: Float64Array, parts: number, step: number): number[] {
  const breaks: number[] = [];
  for (let k = 1; k < parts; k++) {
    const at = toStep(quantile(values, k / parts), step);
    if (at > (breaks.at(-1) ?? -Infinity) && at > values[0]!) breaks.push(at);
  }
  return breaks;
}

/** Counts for a card by a feature (the reading, or its step over the site's iron) and by spread; null where under 30 signals have it. */
function cardOf(table: LearningTable, feature: "centre" | "aboveSiteIron"): CardCounts | null {
  if (!table.x.names.includes(feature)) return null;
  const centre = columnOf(table, feature), spread = columnOf(table, "spread");
  const known = centre.filter((value) => !Number.isNaN(value)).sort();
  const spreads = spread.filter((value) => !Number.isNaN(value)).sort();
  if (known.length < 30) return null;
  const { step } = table.machine.scale;
  const readingBreaks = breaksOf(known, 6, step);
  const spreadBreaks = spreads.length < 30 ? [] : breaksOf(spreads, 3, step);
  const cells = Array.from(
    { length: readingBreaks.length + 1 },
    () => Array.from({ length: spreadBreaks.length + 2 }, () => ({ ferrous: 0, good: 0 })),
  );
  centre.forEach((reading, i) => {
    if (Number.isNaN(reading)) return;
    const wide = spread[i]!;
    const band = readingBreaks.filter((at) => reading >= at).length;
    const column = Number.isNaN(wide)
      ? spreadBreaks.length + 1
      : spreadBreaks.filter((at) => wide >= at).length;
    cells[band]![column]![table.outcome[i] === 0 ? "ferrous" : "good"]++;
  });
  return { readingBreaks, spreadBreaks, cells };
}

/** Counts words of a list; a person's own words may tell of a place, and count as "other". */
function countWords(
  words: readonly (string | null)[],
  known: readonly string[],
): { word: string; signals: number }[] {
  const counts = new Map<string, number>();
  for (const written of words) {
    const word = written === null ? "not logged" : known.includes(written) ? written : "other";
    counts.set(word, (counts.get(word) ?? 0) + 1);
  }
  return [...counts].map(([word, signals]) => ({ word, signals }))
    .sort((a, b) => b.signals - a.signals || (a.word < b.word ? -1 : 1));
}

function fitOne(study: TableStudy, season: Season, options: FitFieldRulesOptions): FieldRule | string {
  const { seed, engine: asked, miss = 0.1 } = options;
  const { allowance, table } = study;
  const { machine, discrimination, signals, x, outcome } = table;
  if (allowance.classes === "none") return allowance.reason;
  const usable = study.scores.filter(({ name }) => (FIELD_ENGINES as readonly string[]).includes(name));
  let engine: FieldEngine;
  if (asked !== undefined) {
    if (study.folds.kind === "folds" && !usable.some(({ name }) => name === asked)) {
      return `"${asked}" needs more than this log holds. ${allowance.reason}`;
    }
    if (allowance.classes === "rules" && asked !== "base rates" && asked !== "tone rule") {
      return allowance.reason;
    }
    engine = asked;
  } else if (usable.length === 0) {
    return study.folds.kind === "refused" ? study.folds.reason : allowance.reason;
  } else {
    const recommended = recommendEngine(usable, { site: study.group, groups: study.groups }).recommended;
    engine = recommended as FieldEngine;
  }
  const three = allowance.classes === "three";
  const classifier = classifierOf(engine, table);
  const plain = (three ? classifier : twoClasses(classifier)).fit(x, outcome, { seed });
  // A model learnt from all signals is corrected where that helped on sites not seen; its sets then go by chances so corrected.
  const recalibration = studyRecalibration(study, engine), correction = recalibration?.correction ?? null;
  const model = (correction === null ? plain : correctedModel(plain, correction)).toJSON();

  const classes = three ? 3 : 2;
  const found = study.outOfFold.find(({ name }) => name === engine);
  const own = found?.kind === "predicted" ? found.probabilities : null;
  const unseen = correction === null ? own : recalibration!.probabilities;
  const thresholds = Array.from({ length: classes }, (_, k) => {
    if (unseen === null) return absent("no folds", "No fair split exists", { cases: 0 });
    const rows: number[][] = [];
    outcome.forEach((code, i) => {
      if (Math.min(code, classes - 1) !== k) return;
      const p = unseen.subarray(3 * i, 3 * i + 3);
      rows.push(three ? [...p] : [p[0]!, p[1]! + p[2]!]);
    });
    return conformalThreshold(conformalScores(rows, rows.map(() => k)), miss);
  }).map((threshold) => isMeasured(threshold) ? threshold.value : null);

  const [ferrous, nonFerrous, maskedGood] = outcomeCountsOf(outcome);
  const centres = columnOf(table, "centre").filter((value) => !Number.isNaN(value)).sort();
  const months = signals.flatMap(({ date }) => date === null ? [] : [date.slice(0, 7)]).sort();
  const all = season.signals.filter((each) =>
    each.machine === machine.machine && each.discrimination === discrimination
  );
  const names = [...new Set(signals.map(({ settings }) => settings))]
    .sort((a, b) => (a ?? "") < (b ?? "") ? -1 : 1);
  const parts: Omit<FieldRule, "version"> = {
    machine: machine.machine,
    discrimination,
    settings: names,
    engine,
    model,
    repeatNoise: repeatNoiseOf(all) ?? null,
    learntFrom: {
      signals: x.n,
      ferrous,
      nonFerrous,
      maskedGood,
      sites: new Set(x.groups.site).size,
    },
    classes: three ? "three" : "two",
    sets: { miss, thresholds },
    centres: centres.length === 0 ? null : { low: centres[0]!, high: centres.at(-1)! },
    months: months.length === 0 ? null : { from: months[0]!, to: months.at(-1)! },
    ground: countWords(signals.map(({ ground }) => ground), WORDS.ground),
    moisture: countWords(signals.map(({ moisture }) => moisture), WORDS.moisture),
    card: cardOf(table, "centre"),
    stepCard: cardOf(table, "aboveSiteIron"),
  };
  const hash = createHash("sha256").update(JSON.stringify(parts)).digest("hex");
  return { version: `r${hash.slice(0, 10)}`, ...parts };
}

/**
 * Holds the engines of each machine and discrimination setting of a season against sites they had not seen: what field rules are
 * chosen and judged by. The second opinion is not asked.
 *
 * @example
 * ```ts
 * import { fieldStudies } from "overiron";
 * if ((await fieldStudies({ machines: [], settings: [], signals: [] }, { seed: 1 })).length !== 0) throw new Error("no log, no study");
 * ```
 */
export async function fieldStudies(
  season: Season,
  options: { readonly seed: number },
): Promise<TableStudy[]> {
  const studies: TableStudy[] = [];
  for (const table of learningTables(season)) {
    studies.push(await studyTable(table, { seed: options.seed, askSecondOpinion: false }));
  }
  return studies;
}

/** Machines and settings without what a person wrote about them. */
function withoutNotes(season: Season): MachinesFile {
  const bare = <T extends { readonly notes?: unknown }>(entry: T): T => {
    const { notes: _, ...rest } = entry;
    return rest as T;
  };
  return {
    schema: "overiron-machines/1",
    machines: season.machines.map(bare),
    settings: season.settings.map(bare),
  };
}

/**
 * Learns field rules from a season: one a machine and a discrimination setting, or the reason why there is none.
 *
 * Each rule holds a model on what is known before the hole, without the person's own call, its chances corrected where that helped on
 * sites not learnt from (see `studyRecalibration`); what it learnt from; the sets of outcomes that
 * cannot be ruled out, calibrated class by class on predictions for sites not learnt from (so the promised share is met about, not
 * exactly); and counts for a card. It holds no site, day, find or note. The same season and seed give the same rules, version and all.
 *
 * @example
 * ```ts
 * import { fitFieldRules } from "overiron";
 * const rules = await fitFieldRules({ machines: [], settings: [], signals: [] }, { seed: 1 });
 * if (rules.rules.length !== 0) throw new Error("no log, no rule");
 * ```
 */
export async function fitFieldRules(season: Season, options: FitFieldRulesOptions): Promise<FieldRules> {
  const rules: FieldRule[] = [], leftOut: FieldRules["leftOut"] = [];
  const studies = options.studies ?? await fieldStudies(season, options);
  for (const study of studies) {
    const fitted = fitOne(study, season, options);
    const { machine: { machine }, discrimination } = study.table;
    if (typeof fitted === "string") leftOut.push({ machine, discrimination, reason: fitted });
    else rules.push(fitted);
  }
  return {
    schema: "overiron-field-rules/1",
    machines: withoutNotes(season) as FieldRules["machines"],
    rules,
    leftOut,
  };
}
