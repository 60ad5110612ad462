import { absent, bootstrapByCluster, type Estimate } from "../numbers/mod.ts";
import { drawnMedian } from "./_drawn_median.ts";
import { type OutcomeName, OUTCOMES } from "./classifier.ts";
import { MISSING } from "./feature_table.ts";
import { FEATURES } from "./features.ts";
import type { LearningTable } from "./season_tables.ts";
import { separationBySite } from "./separation_by_site.ts";

/** One feature among the signals of one outcome. */
export interface FeatureOfOutcome {
  readonly outcome: OutcomeName;
  /** The values, in the order of the rows, without the missing ones. */
  readonly values: Float64Array;
  readonly missing: { readonly silent: number; readonly tooFewPasses: number; readonly notLogged: number };
  /** Median with its interval from whole sites; absent with its reason. */
  readonly median: Estimate;
}

/** What one feature says about the hole. */
export interface FeatureSays {
  readonly feature: string;
  readonly unit: string;
  readonly meaning: string;
  readonly outcomes: readonly FeatureOfOutcome[];
  /** Chance that a non-ferrous or masked good signal has the higher value than a ferrous one. */
  readonly goodAboveFerrous: Estimate;
  /** Chance that a masked good signal has the higher value than a ferrous one. */
  readonly maskedAboveFerrous: Estimate;
  /** Chance that a masked good signal has the higher value than another non-ferrous one. */
  readonly maskedAbovePlain: Estimate;
}

/** Options of {@link featureByOutcome}. */
export interface FeatureByOutcomeOptions {
  readonly seed: number;
  /** Replicates of the bootstrap of medians. Default 400. */
  readonly replicates?: number;
  /** What was kept whole in the folds: sites, or the outings that stand in for them. Default "sites". */
  readonly groups?: "sites" | "outings";
}

/**
 * Tells what one feature alone says about the hole: its median for each outcome, with an interval from a bootstrap of whole
 * sites, and how well it parts goods from ferrous, masked goods from ferrous and masked goods from other non-ferrous finds.
 *
 * Missing cells are counted by reason and left out of medians and shares. Throws RangeError for a feature the table lacks.
 *
 * @example
 * ```ts
 * import { featureByOutcome } from "overiron";
 * const none = new Int32Array(0);
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * const x = { n: 0, names: ["centre"], columns: [new Float64Array(0)], whyMissing: [new Uint8Array(0)], groups: { site: none, outing: none, observer: none } };
 * const leftOut = { unknown: 0, "nothing-found": 0, stopped: 0, hazard: 0, "not-dug": 0 };
 * const table = { machine, discrimination: "none" as const, signals: [], x, outcome: new Uint8Array(0), leftOut };
 * if (!("absent" in featureByOutcome(table, "centre", { seed: 1 }).goodAboveFerrous)) throw new Error("nothing was compared");
 * ```
 */
export function featureByOutcome(
  table: LearningTable,
  feature: string,
  options: FeatureByOutcomeOptions,
): FeatureSays {
  const { seed, replicates = 400, groups = "sites" } = options;
  const { x, outcome } = table;
  const place = x.names.indexOf(feature);
  const about = FEATURES.find((each) => each.name === feature);
  if (place < 0 || !about) {
    throw new RangeError(
      `Cannot tell by outcome: feature must be one of ${x.names.join(", ")}, got "${feature}"`,
    );
  }
  const column = x.columns[place]!, why = x.whyMissing[place]!;
  const group = groups === "sites" ? x.groups.site : x.groups.outing;
  const outcomes = OUTCOMES.map((name, code): FeatureOfOutcome => {
    const rows: number[] = [], missing = { silent: 0, tooFewPasses: 0, notLogged: 0 };
    outcome.forEach((each, i) => {
      if (each !== code) return;
      if (why[i] === 0) rows.push(i);
      else if (why[i] === MISSING.silent) missing.silent++;
      else if (why[i] === MISSING.tooFewPasses) missing.tooFewPasses++;
      else missing.notLogged++;
    });
    const values = Float64Array.from(rows, (row) => column[row]!);
    const middle = rows.length === 0
      ? absent("no cases", `No ${name} signal has this feature`, { signals: 0, [groups]: 0 })
      : bootstrapByCluster(
        rows.map((row) => group[row]!),
        drawnMedian(values),
        {
          seed,
          name: `model/median ${feature} ${name}`,
          replicates,
          rowUnit: "signals",
          clusterUnit: groups,
        },
      );
    return { outcome: name, values, missing, median: middle };
  });
  const parted = (kinds: readonly [string, string], kindOf: (code: number) => number) =>
    separationBySite(column, Array.from(outcome, kindOf), group, { groups, kinds });
  return {
    feature,
    unit: about.unit,
    meaning: about.meaning,
    outcomes,
    goodAboveFerrous: parted(["goods", "ferrous"], (code) => code > 0 ? 1 : 0),
    maskedAboveFerrous: parted(["masked goods", "ferrous"], (code) => code === 2 ? 1 : code === 0 ? 0 : -1),
    maskedAbovePlain: parted(
      ["masked goods", "other non-ferrous"],
      (code) => code === 2 ? 1 : code === 1 ? 0 : -1,
    ),
  };
}
