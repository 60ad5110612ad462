import { absent, type Estimate } from "../numbers/mod.ts";
import type { Classifier, Model } from "./classifier.ts";
import { type FeatureTable, takeRows } from "./feature_table.ts";
import type { Folds } from "./folds.ts";
import { ratioBySite } from "./ratio_by_site.ts";

/** What an engine says on average where one feature is set to one value. */
export interface DependencePoint {
  /** In the feature's unit. */
  readonly value: number;
  /** Mean chance of being worth a hole. */
  readonly worth: Estimate;
  /** Mean chance of being a masked good. */
  readonly masked: Estimate;
}

/** How an engine's chances go with one feature. */
export interface PartialDependence {
  readonly feature: string;
  /** Rising values, out of those logged, 5 to 95 % of the way up; none where the feature hardly varies. */
  readonly points: readonly DependencePoint[];
}

/** Options of {@link partialDependence}. */
export interface PartialDependenceOptions {
  readonly seed: number;
  readonly folds: Folds;
  readonly engine: Classifier;
  readonly features: readonly string[];
  /** The model of each fold, where `crossValidate` kept them. Default: they are fitted anew. */
  readonly models?: readonly Model[];
  /** Most values of a feature that are tried. Default 9. */
  readonly most?: number;
  /** What intervals go by, for `n`. Default "sites". */
  readonly units?: string;
}

/**
 * Tells how an engine's chances go with a feature, everything else left as it was: the feature is set to one value in all signals of
 * the sites that the model has not seen, and the chances are averaged (partial dependence, Friedman 2001, Annals of Statistics
 * 29:1189).
 *
 * Only signals that have the feature are asked. Values are met ones at equally spaced ranks, 5 to 95 % of the way up. Intervals take signals of one
 * site as alike, so they hold both how the held-out models and how the signals of the sites differ. Features that go together in the ground
 * (the centre and the iron share) are moved apart here: a curve tells what the engine does, not what the ground would.
 *
 * Throws RangeError for a feature the table lacks, `most` below 2, a number of models other than that of folds, or as the engine does.
 *
 * @example
 * ```ts
 * import { groupFolds, partialDependence, toneRule } from "overiron";
 * const group = Int32Array.of(0, 0, 1, 1, 2, 2);
 * const x = { n: 6, names: ["centre"], columns: [Float64Array.of(10, 90, 12, 88, 11, 91)], whyMissing: [new Uint8Array(6)],
 *   groups: { site: group, outing: group, observer: group } };
 * const outcome = Uint8Array.of(0, 1, 0, 1, 0, 1);
 * const folds = groupFolds(x, outcome);
 * if (folds.kind !== "folds") throw new Error(folds.reason);
 * const [centre] = partialDependence(x, outcome, { seed: 1, folds, engine: toneRule(50), features: ["centre"], most: 2 });
 * const [low, high] = centre!.points.map(({ worth }) => "value" in worth ? worth.value : NaN);
 * if (!(low! < 0.5 && high! > 0.5)) throw new Error("the rule follows the centre");
 * ```
 */
export function partialDependence(
  x: FeatureTable,
  outcome: Uint8Array,
  options: PartialDependenceOptions,
): PartialDependence[] {
  const { seed, folds, engine, features, most = 9, units = "sites" } = options;
  if (!Number.isSafeInteger(most) || most < 2) {
    throw new RangeError(`Cannot tell dependence: most must be a whole number of 2 or above, got ${most}`);
  }
  if (options.models && options.models.length !== folds.count) {
    throw new RangeError(
      `Cannot tell dependence: need a model for each of ${folds.count} folds, got ${options.models.length}`,
    );
  }
  const asked = features.map((feature) => {
    const place = x.names.indexOf(feature);
    if (place < 0) {
      throw new RangeError(
        `Cannot tell dependence: feature must be one of ${x.names.join(", ")}, got "${feature}"`,
      );
    }
    const grid = gridOf(x.columns[place]!, most);
    return { feature, place, grid, worth: sheets(grid.length, x.n), masked: sheets(grid.length, x.n) };
  });
  for (let fold = 0; fold < folds.count; fold++) {
    const learn: number[] = [], test: number[] = [];
    folds.of.forEach((of, row) => (of === fold ? test : learn).push(row));
    const model = options.models?.[fold] ??
      engine.fit(takeRows(x, learn), Uint8Array.from(learn, (row) => outcome[row]!), { seed });
    for (const { place, grid, worth, masked } of asked) {
      const rows = test.filter((row) => x.whyMissing[place]![row] === 0);
      if (rows.length === 0) continue;
      const plain = takeRows(x, rows);
      grid.forEach((value, at) => {
        const columns = [...plain.columns];
        columns[place] = new Float64Array(rows.length).fill(value);
        const chances = model.probabilities({ ...plain, columns });
        rows.forEach((row, i) => {
          worth[at]![row] = 1 - chances[3 * i]!;
          masked[at]![row] = chances[3 * i + 2]!;
        });
      });
    }
  }
  const group = folds.unit === "site" ? x.groups.site : x.groups.outing;
  return asked.map(({ feature, place, grid, worth, masked }) => {
    const there = Float64Array.from(x.whyMissing[place]!, (why) => why === 0 ? 1 : 0);
    const mean = (chances: Float64Array): Estimate =>
      chances.length === 0
        ? absent("no cases", "No signal has this feature", { signals: 0 })
        : ratioBySite(chances, there, group, { kind: "share", groups: units });
    return {
      feature,
      points: grid.map((value, at) => ({ value, worth: mean(worth[at]!), masked: mean(masked[at]!) })),
    };
  });
}

const sheets = (count: number, n: number): Float64Array[] =>
  Array.from({ length: count }, () => new Float64Array(n));

/** Distinct values met at equally spaced ranks, 5 to 95 % of the way up; none where they are all one. */
function gridOf(column: Float64Array, most: number): number[] {
  const there = column.filter((value) => !Number.isNaN(value)).sort();
  if (there.length === 0) return [];
  const grid = new Set<number>();
  for (let i = 0; i < most; i++) {
    grid.add(there[Math.round((0.05 + 0.9 * i / (most - 1)) * (there.length - 1))]!);
  }
  return grid.size < 2 ? [] : [...grid].sort((a, b) => a - b);
}
