import type { Evidence } from "../garden/mod.ts";
import { type Garden, type ToneScheme, WORDS } from "../log/mod.ts";
import { armOf } from "./_arms.ts";
import { type MaskedArm, type MaskedTrial, maskedTrials } from "./_masked_trials.ts";
import { type BandAgreement, bandAgreement } from "./band_agreement.ts";
import { type BandEntry, type BandTable, bandTable } from "./band_table.ts";
import { gapClasses, gapClassOf, gapNotLogged } from "./gap_classes.ts";
import { passBands } from "./pass_bands.ts";

/** Options of `cleanByTogether`. */
export interface CleanByTogetherOptions {
  /** Seed of the bootstrap. Default 1. */
  readonly seed?: number;
  /** Level of the intervals. Default 0.95. */
  readonly level?: number;
  /** Gaps in centimetres at which one class ends and the next begins. Default 2, 4 and 8. */
  readonly gapEdgesCm?: readonly number[];
  /** Another scheme for a machine, by the machine's name. Default: each machine's own. */
  readonly schemes?: Readonly<Record<string, ToneScheme>>;
}

/** The bands of one machine under one discrimination setting, clean against beside a neighbour. */
export interface CleanByTogether {
  readonly of: Readonly<Record<string, string>>;
  readonly scheme: ToneScheme;
  /** One count a trial: band of the clean centre (rows) by band of the centre beside the neighbour (columns). */
  readonly trials: BandTable;
  /** One count a pass of those trials, right and left: band of the clean centre by the pass's own band. */
  readonly passes: BandTable;
  readonly agreement: BandAgreement;
  /** The table by trial, again by gap class, narrowest first; "gap not logged" last where there is one. */
  readonly byGap: readonly { readonly gap: string; readonly table: BandTable }[];
  /** The table by trial, again by neighbour as named in the log. */
  readonly byNeighbour: readonly { readonly neighbour: string; readonly table: BandTable }[];
  /** The table by trial, again by the side on which the neighbour lay; "side not logged" last where there is one. */
  readonly bySide: readonly { readonly side: string; readonly table: BandTable }[];
  /** Trials by where their clean reading comes from, strongest evidence first; only "same block" is strong. */
  readonly cleanFrom: readonly { readonly from: Evidence; readonly trials: number }[];
  /** Trials with target and neighbour that are in no table, by reason. */
  readonly leftOut: Readonly<Record<string, number>>;
}

const evidences: readonly Evidence[] = [
  "same block",
  "same block, laid otherwise",
  "other blocks",
  "other blocks, laid otherwise",
  "written on the row",
];

const sideNotLogged = "side not logged";

const byCodeUnit = (a: string, b: string): number => a < b ? -1 : a > b ? 1 : 0;

/**
 * Counts, for every trial with a target and a neighbour, the band the target gives clean against the band it gives beside
 * the neighbour.
 *
 * The band of a trial is the band of its centre (`signalBand`). Clean: the centre of the nearest control trials with the
 * target alone at the same settings, depth and coil height (same block first, then others); where there is none, the clean
 * readings written on the row; `cleanFrom` counts which. "silent" is a
 * column and a row of its own: readings were taken and no pass gave a number. Kappa leaves silent trials out. One entry a
 * machine and discrimination setting. By trial: Wilson's intervals; by pass: bootstrap of whole blocks, since the passes
 * of one trial are not independent.
 *
 * Throws RangeError for a machine that is not in the machines list or gap edges that do not ascend.
 *
 * @example
 * ```ts
 * import { cleanByTogether } from "overiron";
 * if (cleanByTogether({ machines: [], settings: [], trials: [] }).length !== 0) throw new Error("no trials, no tables");
 * ```
 */
export function cleanByTogether(garden: Garden, options: CleanByTogetherOptions = {}): CleanByTogether[] {
  const { seed = 1, level = 0.95, gapEdgesCm = [2, 4, 8], schemes } = options;
  const classes = gapClasses(gapEdgesCm);
  return maskedTrials(garden, schemes).map((masked) => tablesOf(masked, { seed, level, classes }));
}

const entryOf = ({ trial, cleanBand, togetherBand }: MaskedTrial): BandEntry => ({
  row: cleanBand,
  column: togetherBand,
  count: 1,
  cluster: trial.block,
});

function tablesOf(
  { arm, scheme, trials, leftOut }: MaskedArm,
  { seed, level, classes }: { seed: number; level: number; classes: ReturnType<typeof gapClasses> },
): CleanByTogether {
  const of = armOf(arm);
  const names = [...scheme.bands.map((band) => band.name), "silent"];
  const table = (
    entries: readonly BandEntry[],
    unit: "trials" | "passes",
    more: Record<string, string> = {},
  ) =>
    bandTable(entries, {
      of: { ...of, ...more },
      unit,
      rows: names,
      columns: names,
      seed,
      level,
      clusterWord: "block",
    });
  const passes = trials.flatMap(({ trial, cleanBand }): BandEntry[] => {
    const bands = passBands([trial.right, trial.left], scheme);
    if ("absent" in bands) return [];
    return [...bands.counts, bands.silent].map((count, column) => ({
      row: cleanBand,
      column,
      count,
      cluster: trial.block,
    }));
  });
  const entries = trials.map(entryOf);
  const gaps = [...classes.map(({ name }) => name), gapNotLogged].map((gap) => ({
    gap,
    own: trials.filter(({ trial }) => gapClassOf(trial.gap_cm, classes) === gap),
  })).filter(({ own }) => own.length > 0);
  const neighbours = [...new Set(trials.map(({ trial }) => trial.neighbour!))].sort(byCodeUnit);
  const sideOf = ({ trial }: MaskedTrial) => trial.side ?? sideNotLogged;
  const sides = [...WORDS.side, sideNotLogged].filter((side) => trials.some((one) => sideOf(one) === side));
  return {
    of,
    scheme,
    trials: table(entries, "trials"),
    passes: table(passes, "passes"),
    agreement: bandAgreement(entries, {
      bands: scheme.bands.length,
      unit: "trials",
      clusterWord: "block",
      seed,
      level,
    }),
    byGap: gaps.map(({ gap, own }) => ({ gap, table: table(own.map(entryOf), "trials", { gap }) })),
    byNeighbour: neighbours.map((neighbour) => ({
      neighbour,
      table: table(trials.filter(({ trial }) => trial.neighbour === neighbour).map(entryOf), "trials", {
        neighbour,
      }),
    })),
    bySide: sides.map((side) => ({
      side,
      table: table(trials.filter((one) => sideOf(one) === side).map(entryOf), "trials", { side }),
    })),
    cleanFrom: evidences.map((from) => ({
      from,
      trials: trials.filter(({ cleanFrom }) => cleanFrom === from).length,
    })).filter((line) => line.trials > 0),
    leftOut,
  };
}
