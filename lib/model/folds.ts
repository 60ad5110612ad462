import { outcomeCountsOf, OUTCOMES } from "./classifier.ts";
import type { FeatureTable } from "./feature_table.ts";

/** Rows dealt into folds so that no site (or outing) is on both sides. `of` is the fold of each row, from 0. */
export interface Folds {
  readonly kind: "folds";
  /** What was kept whole: sites, or outings where no packing of sites would do. */
  readonly unit: "site" | "outing";
  readonly count: number;
  readonly of: Int32Array;
  /** How many sites or outings there were. */
  readonly units: number;
  /** One sentence that says how the folds were made. */
  readonly reason: string;
}

/** No fair split exists: `refused` is a word or two, `reason` a sentence with what is needed. */
export interface FoldsRefused {
  readonly kind: "refused";
  readonly refused: string;
  readonly reason: string;
}

/** Options of {@link groupFolds}. */
export interface GroupFoldsOptions {
  /** Most folds wanted. Default 10. */
  readonly most?: number;
  /** Share of each outcome's cases that every training part must keep. Default 0.5, "most of each class". */
  readonly keep?: number;
}

function pack(group: Int32Array, outcome: Uint8Array, folds: number): Int32Array {
  const totals = outcomeCountsOf(outcome);
  const units = [...new Set(group)].sort((a, b) => a - b).map((id) => ({ id, counts: [0, 0, 0], load: 0 }));
  const place = new Map(units.map((unit, i) => [unit.id, i]));
  outcome.forEach((code, i) => units[place.get(group[i]!)!]!.counts[code]! += 1);
  const share = (counts: readonly number[]) =>
    Math.max(...counts.map((count, k) => totals[k as 0 | 1 | 2] > 0 ? count / totals[k as 0 | 1 | 2] : 0));
  for (const unit of units) unit.load = share(unit.counts);
  units.sort((a, b) => b.load - a.load || a.id - b.id);
  const held = Array.from({ length: folds }, () => ({ counts: [0, 0, 0], rows: 0 }));
  const foldOf = new Map<number, number>();
  for (const unit of units) {
    const rows = unit.counts[0]! + unit.counts[1]! + unit.counts[2]!;
    let best = 0, bestLoad = Infinity, bestRows = Infinity;
    held.forEach((fold, f) => {
      const load = share(fold.counts.map((count, k) => count + unit.counts[k]!));
      if (load < bestLoad - 1e-12 || (load < bestLoad + 1e-12 && fold.rows < bestRows)) {
        [best, bestLoad, bestRows] = [f, load, fold.rows];
      }
    });
    const fold = held[best]!;
    unit.counts.forEach((count, k) => fold.counts[k]! += count);
    fold.rows += rows;
    foldOf.set(unit.id, best);
  }
  return Int32Array.from(group, (id) => foldOf.get(id)!);
}

function keepsMost(of: Int32Array, outcome: Uint8Array, folds: number, keep: number): boolean {
  const totals = outcomeCountsOf(outcome);
  const tested = Array.from({ length: folds }, () => [0, 0, 0]);
  outcome.forEach((code, i) => tested[of[i]!]![code]! += 1);
  return tested.every((counts) =>
    counts.some((count) => count > 0) &&
    counts.every((count, k) => {
      const total = totals[k as 0 | 1 | 2];
      return total === 0 || (total - count >= keep * total && total - count >= 1);
    })
  );
}

/**
 * Deals signals into folds that keep every site whole, so that a score is a score on ground the model has not seen.
 *
 * Sites are packed, the one with the largest share of any outcome first, each into the fold where the largest share of any
 * outcome stays smallest. The largest number of folds (at most `most`) is taken at which every training part keeps at least
 * `keep` of each outcome's cases. Where no packing of sites does, outings stand in, and `unit` and `reason` say so; where
 * neither does, the answer is a refusal with its reason. No chance is involved. Outcomes are 0, 1, 2 a row of the table; an
 * outcome nobody met is not asked for.
 *
 * Throws RangeError when lengths differ, `most` is below 2 or `keep` is not within 0..1.
 *
 * @example
 * ```ts
 * import { groupFolds } from "overiron";
 * const site = Int32Array.of(0, 0, 1, 1, 2, 2);
 * const table = { n: 6, names: [], columns: [], whyMissing: [], groups: { site, outing: site, observer: site } };
 * const folds = groupFolds(table, Uint8Array.of(0, 1, 0, 1, 0, 1));
 * if (folds.kind !== "folds" || folds.count !== 3 || folds.unit !== "site") throw new Error(JSON.stringify(folds));
 * ```
 */
export function groupFolds(
  x: FeatureTable,
  outcome: Uint8Array,
  options: GroupFoldsOptions = {},
): Folds | FoldsRefused {
  const { most = 10, keep = 0.5 } = options;
  if (outcome.length !== x.n) {
    throw new RangeError(`Cannot make folds: need one outcome a row, got ${outcome.length} for ${x.n} rows`);
  }
  if (!Number.isSafeInteger(most) || most < 2) {
    throw new RangeError(`Cannot make folds: most must be a whole number of 2 or above, got ${most}`);
  }
  if (!(keep >= 0 && keep <= 1)) {
    throw new RangeError(`Cannot make folds: keep must be within 0..1, got ${keep}`);
  }
  const totals = outcomeCountsOf(outcome);
  const met = totals.filter((count) => count > 0).length;
  if (met < 2) {
    const only = met === 1 ? `only ${OUTCOMES[totals.findIndex((count) => count > 0)]!}` : "none";
    return {
      kind: "refused",
      refused: "one outcome",
      reason: `A model needs dug signals of two outcomes or more; the log holds ${only}`,
    };
  }
  for (const unit of ["site", "outing"] as const) {
    const group = x.groups[unit];
    const units = new Set(group).size;
    for (let folds = Math.min(most, units); folds >= 2; folds--) {
      const of = pack(group, outcome, folds);
      if (!keepsMost(of, outcome, folds, keep)) continue;
      const whole = unit === "site"
        ? `Every site is whole in one of ${folds} folds`
        : `No packing of whole sites leaves most of each outcome to learn from, so outings stand in for sites: every outing is ` +
          `whole in one of ${folds} folds, and scores may flatter, since the same ground is on both sides`;
      return { kind: "folds", unit, count: folds, of, units, reason: whole };
    }
  }
  const sites = new Set(x.groups.site).size, outings = new Set(x.groups.outing).size;
  return {
    kind: "refused",
    refused: "no fair split",
    reason:
      `No split by site (${sites}) or by outing (${outings}) leaves most of each outcome to learn from: log dug signals of every ` +
      `outcome at two sites or more`,
  };
}
