import { loadDigLog, parseMachines } from "../../lib/log/mod.ts";
import { type FeatureTable, learningTables, takeFeatures, takeRows } from "../../lib/model/mod.ts";
import { median } from "../../lib/numbers/mod.ts";
import {
  logCsv,
  VIRTUAL_MACHINES,
  VIRTUAL_SEASON_FIELDS,
  virtualMachinesFile,
  virtualSeason,
} from "../../lib/virtual/mod.ts";

/** The columns every forest of the bench learns from. */
export const BENCH_FEATURES = [
  "centre",
  "spread",
  "asymmetry",
  "dropout",
  "ironShare",
  "bestRepeat",
  "indicatedDepthCm",
  "ironNear",
] as const;

/** Dug signals of a virtual season: a table without gaps and the outcome of each row. */
export interface ForestRows {
  readonly x: FeatureTable;
  readonly outcome: Uint8Array;
}

/**
 * Gives `rows` dug signals of a virtual season on one machine, eight features each. Missing values are filled with the column's
 * median, since not every program compared here takes them.
 */
export async function forestRows(rows: number): Promise<ForestRows> {
  const machine = VIRTUAL_MACHINES[0]!;
  const made = virtualSeason({ signals: Math.round(rows * 1.7) + 400, seed: 11, machines: [machine] });
  const text = logCsv(VIRTUAL_SEASON_FIELDS, [...made].map(({ row }) => row));
  const bytes = new TextEncoder().encode(text);
  const { season } = await loadDigLog(
    { name: "season.csv", bytes },
    parseMachines(virtualMachinesFile([machine])),
  );
  const table = learningTables(season)[0]!;
  if (table.x.n < rows) throw new Error(`Cannot bench: need ${rows} dug signals, got ${table.x.n}`);
  const kept = takeRows(takeFeatures(table.x, BENCH_FEATURES), Array.from({ length: rows }, (_, i) => i));
  const columns = kept.columns.map((column) => {
    const middle = median([...column].filter((value) => !Number.isNaN(value)));
    return column.map((value) => Number.isNaN(value) ? middle : value);
  });
  const whyMissing = kept.whyMissing.map((why) => new Uint8Array(why.length));
  return { x: { ...kept, columns, whyMissing }, outcome: table.outcome.slice(0, rows) };
}

/** The rows as a CSV file without quotes: features, then `outcome` and `site`, numbers in full. */
export function forestCsv({ x, outcome }: ForestRows, fold: Int32Array = x.groups.site): string {
  const lines = [[...x.names, "outcome", "site", "fold"].join()];
  for (let i = 0; i < x.n; i++) {
    lines.push([...x.columns.map((column) => column[i]!), outcome[i], x.groups.site[i], fold[i]].join());
  }
  return `${lines.join("\n")}\n`;
}
