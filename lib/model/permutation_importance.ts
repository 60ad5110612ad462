import { type Chance, chance, type Estimate } from "../numbers/mod.ts";
import type { Classifier, Model } from "./classifier.ts";
import { type FeatureTable, takeRows } from "./feature_table.ts";
import type { Folds } from "./folds.ts";
import { ratioBySite } from "./ratio_by_site.ts";

/** How much an engine loses, on unseen sites, when it can no longer use some features. */
export interface FeatureImportance {
  readonly name: string;
  /** Nats a signal by which the log loss grows; about 0 or below where the engine makes no use of them. */
  readonly lossGrowth: Estimate;
}

/** Options of {@link permutationImportance}. */
export interface PermutationImportanceOptions {
  readonly seed: number;
  readonly folds: Folds;
  readonly engine: Classifier;
  /** Features shuffled together, by the name of the group. Default: each feature of the table by itself. */
  readonly groups?: Readonly<Record<string, readonly string[]>>;
  /** The model of each fold, where `crossValidate` kept them. Default: they are fitted anew. */
  readonly models?: readonly Model[];
  /** Shuffles a fold, averaged. Default 5. */
  readonly repeats?: number;
  /** What intervals go by, for `n`. Default "sites". */
  readonly units?: string;
}

/** Where each row's values come from when they are shuffled among the rows of its site. */
function shuffledRows(x: FeatureTable, rowsAt: readonly (readonly number[])[], stream: Chance): Int32Array {
  const from = new Int32Array(x.n);
  for (const rows of rowsAt) stream.shuffle(rows).forEach((row, at) => from[rows[at]!] = row);
  return from;
}

/** The rows of each site, sites in the order of their numbers. */
function rowsBySite({ n, groups: { site } }: FeatureTable): number[][] {
  const rowsAt = new Map<number, number[]>();
  for (let i = 0; i < n; i++) {
    const rows = rowsAt.get(site[i]!);
    if (rows) rows.push(i);
    else rowsAt.set(site[i]!, [i]);
  }
  return [...rowsAt.keys()].sort((a, b) => a - b).map((at) => rowsAt.get(at)!);
}

/** Rows, again and again, with other rows' values in some places; whether a value is missing goes with it. */
function withValuesOf(
  x: FeatureTable,
  rows: number[],
  from: number[],
  places: readonly number[],
): FeatureTable {
  const own = takeRows(x, rows), columns = [...own.columns], whyMissing = [...own.whyMissing];
  for (const place of places) {
    columns[place] = Float64Array.from(from, (row) => x.columns[place]![row]!);
    whyMissing[place] = Uint8Array.from(from, (row) => x.whyMissing[place]![row]!);
  }
  return { ...own, columns, whyMissing };
}

/**
 * Tells how much an engine relies on each feature, or group of features, on sites it has not seen: the growth of its log loss
 * when their values are shuffled among the signals of each held-out site (Breiman 2001; Fisher, Rudin and Dominici 2019, JMLR 20:177).
 *
 * Whether a value is missing is shuffled with it. Shuffling within a site breaks a feature's tie to the hole and keeps its tie to
 * the site. Features that stand in for each other each look small: shuffle them as a group. Intervals by what the folds kept
 * whole. Outcomes are 0, 1, 2 a row. Throws RangeError for a feature the table lacks, repeats below 1, or as the engine does.
 *
 * @example
 * ```ts
 * import { groupFolds, permutationImportance, toneRule } from "overiron";
 * const group = Int32Array.of(0, 0, 1, 1, 2, 2);
 * const x = { n: 6, names: ["centre"], columns: [Float64Array.of(10, 90, 12, 88, 11, 91)], whyMissing: [new Uint8Array(6)],
 *   groups: { site: group, outing: group, observer: group } };
 * const outcome = Uint8Array.of(0, 1, 0, 1, 0, 1);
 * const folds = groupFolds(x, outcome);
 * if (folds.kind !== "folds") throw new Error(folds.reason);
 * const [centre] = permutationImportance(x, outcome, { seed: 1, folds, engine: toneRule(50), repeats: 20 });
 * if (!centre || !("value" in centre.lossGrowth) || !(centre.lossGrowth.value > 0)) throw new Error("the rule lives by the centre");
 * ```
 */
export function permutationImportance(
  x: FeatureTable,
  outcome: Uint8Array,
  options: PermutationImportanceOptions,
): FeatureImportance[] {
  const { seed, folds, engine, repeats = 5, units = "sites" } = options;
  const groups = options.groups ?? Object.fromEntries(x.names.map((name) => [name, [name]]));
  if (!Number.isSafeInteger(repeats) || repeats < 1) {
    throw new RangeError(
      `Cannot tell importance: repeats must be a whole number of 1 or above, got ${repeats}`,
    );
  }
  const names = Object.keys(groups);
  const places = names.map((name) =>
    groups[name]!.map((feature) => {
      const place = x.names.indexOf(feature);
      if (place < 0) {
        throw new RangeError(
          `Cannot tell importance: feature must be one of ${x.names.join(", ")}, got "${feature}"`,
        );
      }
      return place;
    })
  );
  if (options.models && options.models.length !== folds.count) {
    throw new RangeError(
      `Cannot tell importance: need a model for each of ${folds.count} folds, got ${options.models.length}`,
    );
  }
  const growth = names.map(() => new Float64Array(x.n));
  for (let fold = 0; fold < folds.count; fold++) {
    const learn: number[] = [], test: number[] = [];
    folds.of.forEach((of, row) => (of === fold ? test : learn).push(row));
    const model = options.models?.[fold] ??
      engine.fit(takeRows(x, learn), Uint8Array.from(learn, (row) => outcome[row]!), { seed });
    const asked = takeRows(x, test), rowsAt = rowsBySite(asked);
    const plain = model.probabilities(asked);
    names.forEach((name, g) => {
      const differs = (i: number, from: number): boolean =>
        places[g]!.some((place) =>
          !Object.is(asked.columns[place]![i], asked.columns[place]![from]) ||
          asked.whyMissing[place]![i] !== asked.whyMissing[place]![from]
        );
      // A row given what it had already loses nothing.
      const rows: number[] = [], given: number[] = [];
      for (let repeat = 0; repeat < repeats; repeat++) {
        const stream = chance(seed, `model/importance ${name}`, fold * repeats + repeat);
        shuffledRows(asked, rowsAt, stream).forEach((from, i) => {
          if (!differs(i, from)) return;
          rows.push(i);
          given.push(from);
        });
      }
      if (rows.length === 0) return;
      const blind = model.probabilities(withValuesOf(asked, rows, given, places[g]!));
      rows.forEach((i, at) => {
        const row = test[i]!, code = outcome[row]!;
        growth[g]![row]! += Math.log(plain[3 * i + code]! / blind[3 * at + code]!) / repeats;
      });
    });
  }
  const one = new Float64Array(x.n).fill(1);
  const group = folds.unit === "site" ? x.groups.site : x.groups.outing;
  return names.map((name, g) => ({
    name,
    lossGrowth: ratioBySite(growth[g]!, one, group, { groups: units }),
  }));
}
