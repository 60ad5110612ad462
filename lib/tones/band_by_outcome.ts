import type { Season, Signal, ToneScheme } from "../log/mod.ts";
import { outcomeRow, outcomeRows } from "../sweep/mod.ts";
import { armOf, armsOf, schemeFor } from "./_arms.ts";
import { type BandEntry, type BandTable, bandTable } from "./band_table.ts";
import { passBands } from "./pass_bands.ts";
import { signalBand } from "./signal_band.ts";

/** Options of `bandByOutcome`. */
export interface BandByOutcomeOptions {
  /** Seed of the bootstrap. Default 1. */
  readonly seed?: number;
  /** Level of the intervals. Default 0.95. */
  readonly level?: number;
  /** Another scheme for a machine, by the machine's name. Default: each machine's own. */
  readonly schemes?: Readonly<Record<string, ToneScheme>>;
}

/** The bands of one machine under one discrimination setting, by what came out of the hole. */
export interface BandByOutcome {
  readonly of: Readonly<Record<string, string>>;
  readonly scheme: ToneScheme;
  /** One count a signal, every signal of the arm: what came of it (rows) by the band of its centre (columns). */
  readonly signals: BandTable;
  /** One count a pass, right and left, of the same signals. */
  readonly passes: BandTable;
}

/**
 * Counts the tone band of every signal against what came of it.
 *
 * The band of a signal is the band of its centre (`signalBand`); "silent" where no pass gave a number, "not logged" where
 * nothing was written down in either direction. Every signal is in the table, those without an outcome in rows of their
 * own, so the counts add up to the season. One entry a machine and discrimination setting. By signal: Wilson's intervals;
 * by pass: bootstrap of whole sites.
 *
 * Throws RangeError for a machine that is not in the machines list.
 *
 * @example
 * ```ts
 * import { bandByOutcome } from "overiron";
 * if (bandByOutcome({ machines: [], settings: [], signals: [] }).length !== 0) throw new Error("no signals, no tables");
 * ```
 */
export function bandByOutcome(season: Season, options: BandByOutcomeOptions = {}): BandByOutcome[] {
  const { seed = 1, level = 0.95, schemes } = options;
  return armsOf(season.machines, season.signals).map((arm) => {
    const scheme = schemeFor(arm.machine, schemes);
    const columns = [...scheme.bands.map((band) => band.name), "silent", "not logged"];
    const silent = scheme.bands.length;
    const rowOf = (signal: Signal) => outcomeRows.indexOf(outcomeRow(signal.outcome));
    const signals = arm.rows.map((signal): BandEntry => {
      const band = signalBand(signal, arm.machine, { scheme });
      const column = typeof band === "number" ? band : band === "silent" ? silent : silent + 1;
      return { row: rowOf(signal), column, count: 1, cluster: signal.site };
    });
    const passes = arm.rows.flatMap((signal): BandEntry[] => {
      const bands = passBands([signal.right, signal.left], scheme);
      if ("absent" in bands) return [];
      return [...bands.counts, bands.silent].map((count, column) => ({
        row: rowOf(signal),
        column,
        count,
        cluster: signal.site,
      }));
    });
    const shared = { of: armOf(arm), rows: outcomeRows, seed, level, clusterWord: "site" };
    return {
      of: armOf(arm),
      scheme,
      signals: bandTable(signals, { ...shared, unit: "signals", columns }),
      passes: bandTable(passes, { ...shared, unit: "passes", columns: columns.slice(0, -1) }),
    };
  });
}
