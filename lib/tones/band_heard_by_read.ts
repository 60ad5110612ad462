import type { Season } from "../log/mod.ts";
import { armOf, armsOf, bandedScheme } from "./_arms.ts";
import { type BandAgreement, bandAgreement } from "./band_agreement.ts";
import { type BandEntry, type BandTable, bandTable } from "./band_table.ts";
import { signalBand } from "./signal_band.ts";

/** Options of `bandHeardByRead`. */
export interface BandHeardByReadOptions {
  /** Seed of the bootstrap. Default 1. */
  readonly seed?: number;
  /** Level of the intervals. Default 0.95. */
  readonly level?: number;
}

/** What the person heard against what the readings give, for one machine and discrimination setting. */
export interface BandHeardByRead {
  readonly of: Readonly<Record<string, string>>;
  /** One count a signal: band heard (rows) by the band of the centre (columns). */
  readonly signals: BandTable;
  readonly agreement: BandAgreement;
  /** Signals that are not in the table, by reason. */
  readonly leftOut: Readonly<Record<string, number>>;
}

/**
 * Counts the tone that the person wrote down as heard against the band that the readings give.
 *
 * `tone_heard` is compared with the names of the machine's bands, case and outer spaces aside; a tone that is none of them
 * is left out and counted, and its text is not shown. Intervals of the agreement: bootstrap of whole sites.
 *
 * Throws RangeError for a machine that is not in the machines list.
 *
 * @example
 * ```ts
 * import { bandHeardByRead } from "overiron";
 * if (bandHeardByRead({ machines: [], settings: [], signals: [] }).length !== 0) throw new Error("no signals, no tables");
 * ```
 */
export function bandHeardByRead(season: Season, options: BandHeardByReadOptions = {}): BandHeardByRead[] {
  const { seed = 1, level = 0.95 } = options;
  return armsOf(season.machines, season.signals).map((arm) => {
    const scheme = bandedScheme(arm.machine.tones, arm.machine.iron_break);
    const names = scheme.bands.map((band) => band.name);
    const heardNames = names.map((name) => name.trim().toLowerCase());
    const leftOut = { "tone not logged": 0, "not the name of a band": 0, "readings not logged": 0 };
    const entries: BandEntry[] = [];
    for (const signal of arm.rows) {
      const heard = signal.tone_heard?.trim().toLowerCase() ?? "";
      const row = heardNames.indexOf(heard);
      const band = signalBand(signal, arm.machine);
      if (heard === "") leftOut["tone not logged"]++;
      else if (row < 0) leftOut["not the name of a band"]++;
      else if (typeof band === "object") leftOut["readings not logged"]++;
      else {entries.push({
          row,
          column: band === "silent" ? names.length : band,
          count: 1,
          cluster: signal.site,
        });}
    }
    return {
      of: armOf(arm),
      signals: bandTable(entries, {
        of: armOf(arm),
        unit: "signals",
        rows: names,
        columns: [...names, "silent"],
        level,
      }),
      agreement: bandAgreement(entries, {
        bands: names.length,
        unit: "signals",
        clusterWord: "site",
        seed,
        level,
      }),
      leftOut,
    };
  });
}
