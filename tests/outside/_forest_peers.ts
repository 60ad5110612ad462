// The demo season's forest beside scikit-learn's and ranger's (Debian's python3-sklearn and r-cran-ranger): the same signals, features, sites in folds,
// trees, features a split. Makes the stored file again, with both installed:
// deno run -A tests/outside/_forest_peers.ts
import { loadDigLog, parseMachines } from "../../lib/log/mod.ts";
import {
  crossValidate,
  type FeatureTable,
  floorProbabilities,
  type Folds,
  groupFolds,
  type LearningTable,
  learningTables,
  outcomeForest,
  READING_FEATURES,
  takeFeatures,
  whatCountsAllow,
} from "../../lib/model/mod.ts";
import { mean } from "../../lib/numbers/mod.ts";

/** As many as `outcomeForest` grows. */
const TREES = 200;
export const SEEDS = 10;
/**
 * Least leaves: that of `outcomeForest`, and 1. With 1 all three do the same; with 3 ours counts a row as often as it was drawn, scikit-learn
 * counts it once, and ranger 0.14.1 has no least leaf but a least node to split, which leaves smaller leaves.
 */
export const LEAVES = [3, 1] as const;

/** Below every reading, so that a tree can part what is missing from what is not, as ours does with a gap. */
const FILLED = -9999;

/** What is compared, a table of one machine and setting. */
export interface ForestRows {
  readonly table: LearningTable;
  readonly x: FeatureTable;
  readonly folds: Folds;
  /** The rows as the peers get them. */
  readonly csv: string;
}

/** The demo season's tables for which the model notebook grows a forest of three outcomes, missing cells filled alike for all. */
export async function forestRows(): Promise<ForestRows[]> {
  const demo = new URL("../../datasets/demo/", import.meta.url);
  const machines = parseMachines(await Deno.readTextFile(new URL("machines.json", demo)));
  const bytes = await Deno.readFile(new URL("dig-log.csv", demo));
  const { season } = await loadDigLog({ name: "dig-log.csv", bytes }, machines);
  return learningTables(season).flatMap((table) => {
    const folds = groupFolds(table.x, table.outcome);
    if (folds.kind !== "folds" || whatCountsAllow(table.outcome).classes !== "three") return [];
    const asked = takeFeatures(table.x, READING_FEATURES);
    // Nine digits, so that the last bits of a sum, added in another order one day, make no other rows.
    const columns = asked.columns.map((column) =>
      column.map((value) => Number.isNaN(value) ? FILLED : Number(value.toPrecision(9)))
    );
    const x = { ...asked, columns, whyMissing: asked.whyMissing.map((why) => new Uint8Array(why.length)) };
    const lines = [[...x.names, "outcome", "site", "fold"].join()];
    for (let i = 0; i < x.n; i++) {
      lines.push(
        [...columns.map((column) => column[i]!), table.outcome[i], x.groups.site[i], folds.of[i]].join(),
      );
    }
    return [{ table, x, folds, csv: `${lines.join("\n")}\n` }];
  });
}

/** Log loss of each row, its probabilities lifted off 0 as every model's are. Raw probabilities are lifted here, others come lifted. */
export function lossesOf(rows: ForestRows, probabilities: Float64Array, lifted: boolean): Float64Array {
  const { table: { outcome }, folds } = rows;
  const inFold = new Int32Array(folds.count);
  for (const fold of folds.of) inFold[fold]! += 1;
  return Float64Array.from(outcome, (code, i) => {
    const row = probabilities.slice(3 * i, 3 * i + 3);
    const p = lifted ? row : floorProbabilities(row, outcome.length - inFold[folds.of[i]!]!);
    return -Math.log(p[code]!);
  });
}

/** SHA-256 of a text: a stored file says of which rows it speaks. */
export async function hashOf(text: string): Promise<string> {
  const hash = await crypto.subtle.digest("SHA-256", new TextEncoder().encode(text));
  return [...new Uint8Array(hash)].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** A peer: its programs, the first that runs counts (Debian's own Python has scikit-learn, another may not), and what it is told. */
export const PEERS = [
  { name: "scikit-learn", programs: ["/usr/bin/python3", "python3"], script: "_forest_sklearn.py" },
  { name: "ranger", programs: ["Rscript"], script: "_forest_ranger.R" },
] as const;

/** Runs a peer: its version, and the log loss of each row for each seed; null where it is not installed. */
export async function askPeer(
  rows: ForestRows,
  peer: typeof PEERS[number],
  { leaf, seeds }: { readonly leaf: number; readonly seeds: number },
): Promise<{ version: string; losses: Float64Array[] } | null> {
  const path = await Deno.makeTempFile({ suffix: ".csv" });
  await Deno.writeTextFile(path, rows.csv);
  const script = new URL(peer.script, import.meta.url).pathname;
  const args = [script, path, String(TREES), String(leaf), String(seeds)];
  try {
    for (const program of peer.programs) {
      const out = await new Deno.Command(program, { args, stderr: "null" }).output().catch(() => null);
      if (out === null || !out.success) continue;
      const [{ version }, ...found] = new TextDecoder().decode(out.stdout).trim().split("\n").map((line) =>
        JSON.parse(line)
      );
      return {
        version,
        losses: found.map(({ probabilities }) => lossesOf(rows, Float64Array.from(probabilities), false)),
      };
    }
    return null;
  } finally {
    await Deno.remove(path);
  }
}

/** Ours on the same rows: the log loss of each row for each seed. */
export function ourLosses(
  rows: ForestRows,
  { leaf, seeds }: { leaf: number; seeds: number },
): Float64Array[] {
  const { x, table, folds } = rows;
  const forest = outcomeForest({ features: x.names, trees: TREES, leastLeaf: leaf });
  return Array.from({ length: seeds }, (_, i) => {
    const [found] = crossValidate(x, table.outcome, { seed: i + 1, folds, engines: [forest] });
    if (found?.kind !== "predicted") throw new Error("The forest has no predictions");
    return lossesOf(rows, found.probabilities, true);
  });
}

const rounded = (value: number): number => Number(value.toFixed(6));
/** The mean over seeds for each row. */
export const overSeeds = (losses: readonly Float64Array[]): number[] =>
  Array.from(losses[0]!, (_, i) => mean(losses.map((each) => each[i]!)));

if (import.meta.main) {
  const tables = [];
  for (const rows of await forestRows()) {
    const peers = [];
    for (const [peer, leaf] of PEERS.flatMap((peer) => LEAVES.map((leaf) => [peer, leaf] as const))) {
      const asked = await askPeer(rows, peer, { leaf, seeds: SEEDS });
      if (asked === null) throw new Error(`${peer.name} is not installed`);
      const { version, losses } = asked;
      peers.push({
        name: peer.name,
        version,
        leaf,
        lossBySeed: losses.map((each) => mean(each)).map(rounded),
        lossBySignal: overSeeds(losses).map(rounded),
      });
    }
    const { table: { machine, discrimination }, x, folds } = rows;
    tables.push({
      machine: machine.machine,
      discrimination,
      signals: x.n,
      folds: folds.count,
      features: x.names,
      rows: await hashOf(rows.csv),
      peers,
    });
  }
  const made = "deno run -A tests/outside/_forest_peers.ts";
  const path = new URL("_forest_peers.json", import.meta.url);
  await Deno.writeTextFile(path, `${JSON.stringify({ made, filled: FILLED, trees: TREES, tables })}\n`);
  console.log(`Written ${path.pathname}`);
}
