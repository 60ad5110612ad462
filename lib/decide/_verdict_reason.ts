import type { Signal } from "../log/mod.ts";
import { type FeatureTable, MISSING } from "../model/feature_table.ts";
import { featuresNamed, sweepsOf } from "../model/features.ts";
import { inHundred } from "./hundredths.ts";
import type { OpenRule, SignalBeforeDig } from "./verdict.ts";

/** The one row of features that a model asks of a signal. */
export function featureRow(
  signal: SignalBeforeDig,
  open: OpenRule,
  siteIron: number | null,
  names: readonly string[],
): FeatureTable {
  const { rule, machines } = open;
  const machine = machines.machines.find((each) => each.machine === rule.machine)!;
  const source = {
    signal: signal as Signal,
    machine,
    ...sweepsOf(signal as Signal, machine, rule.repeatNoise ?? undefined),
    siteIron,
  };
  const cells = featuresNamed(names).map((feature) => feature.compute(source));
  const group = Int32Array.of(0);
  return {
    n: 1,
    names: featuresNamed(names).map(({ name }) => name),
    columns: cells.map((cell) => Float64Array.of("value" in cell ? cell.value : NaN)),
    whyMissing: cells.map((cell) => Uint8Array.of("value" in cell ? 0 : cell.why)),
    groups: { site: group, outing: group, observer: group },
  };
}

const PLAIN: Readonly<Record<string, string>> = {
  centre: "the middle of the passes",
  spread: "how far the passes scatter",
  asymmetry: "right against left",
  turnChange: "the change after a quarter turn",
  dropout: "passes without a number",
  ironShare: "passes below the iron break",
  bestRepeat: "the best number met twice",
  indicatedDepthCm: "the depth shown",
  indicatedDepthStep: "the depth shown",
  bothWays: "whether it sounds both ways",
  afterTurn: "what it did after a quarter turn",
  ironNear: "iron around it",
  ownCall: "your own call",
  aboveSiteIron: "how far it reads above this site's iron",
};

const percent = (share: number): string => inHundred(Math.round(100 * share));

/** A row of features, and below it the same row once a feature, with that feature left out: a model answers all of them in one go. */
export function withLeftOut(row: FeatureTable): FeatureTable {
  const n = row.names.length + 1;
  const group = new Int32Array(n);
  return {
    n,
    names: row.names,
    columns: row.columns.map(([value], j) => {
      const column = new Float64Array(n).fill(value!);
      column[j + 1] = NaN;
      return column;
    }),
    whyMissing: row.whyMissing.map(([why], j) => {
      const column = new Uint8Array(n).fill(why!);
      if (why === 0) column[j + 1] = MISSING.notLogged;
      return column;
    }),
    groups: { site: group, outing: group, observer: group },
  };
}

/** The feature without which the chance moves most is the reason. `p` holds the row's chances and those with a feature left out. */
export function reasonOf(row: FeatureTable, p: Float64Array): string {
  const good = 1 - p[0]!;
  let most = 0, which = "", without = good;
  row.names.forEach((name, j) => {
    if (row.whyMissing[j]![0] !== 0) return;
    const chance = 1 - p[3 * (j + 1)]!;
    if (Math.abs(chance - good) > most + 1e-12) {
      [most, which, without] = [Math.abs(chance - good), name, chance];
    }
  });
  if (which === "") return `No number of this signal moves it: ${percent(good)} is what the log holds`;
  const direction = without < good ? "Speaks for it" : "Speaks against it";
  return `${direction}, most of all: ${PLAIN[which] ?? which} (without it ${percent(without)} in place of ${
    percent(good)
  })`;
}
