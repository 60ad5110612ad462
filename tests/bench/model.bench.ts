// The forest beside scikit-learn's RandomForestClassifier and R's ranger (Debian's python3-sklearn and r-cran-ranger), in the same run on the same rows:
// dug signals of a virtual season, eight features without gaps, 200 trees, two features tried in a split (the square root of eight, everybody's default),
// leaves of one, bootstrap, no out-of-bag scores. Ask for 10 times as fast as either on one core, and 6 times as fast as scikit-learn where both have two.
// Then ten-fold grouped validation with importance, and growth to a million rows with memory.
// Sides take turns, each warm, and every ratio is of two fits made one after the other; the middle one counts.
import { median } from "simple-statistics";
import { cpuUsage } from "node:process";
import { crossValidate, growForest, permutationImportance, startForestWorkers } from "../../lib/model/mod.ts";
import { groupFolds, outcomeForest } from "../../lib/model/mod.ts";
import { forestCsv, type ForestRows, forestRows } from "./_forest_rows.ts";
import { type Load, type OnDemand, onDemand } from "./_on_demand.ts";
import { python } from "./_python.ts";

const here = (name: string): string => new URL(name, import.meta.url).pathname;
const TURNS = 7, TREES = 200, TRIED = 2;
const options = { trees: TREES, tryFeatures: TRIED, outOfBag: false } as const;
const middle = (values: readonly number[]): number => median([...values]);

async function timed(work: () => unknown): Promise<Pick<Load, "milliseconds" | "busy">> {
  const start = performance.now(), before = cpuUsage();
  await work();
  const milliseconds = performance.now() - start, { user, system } = cpuUsage(before);
  return { milliseconds, busy: (user + system) / 1000 };
}

async function sklearn(path: string, jobs: number): Promise<OnDemand | null> {
  const args = [here("forest_sklearn.py"), path, String(TREES), String(TRIED), String(jobs)];
  return await onDemand("/usr/bin/python3", args) ?? await onDemand("python3", args);
}
const ranger = (path: string, jobs: number): Promise<OnDemand | null> =>
  onDemand("Rscript", [
    "--vanilla",
    here("forest_ranger.R"),
    path,
    String(TREES),
    String(TRIED),
    String(jobs),
  ]);

async function beside(
  name: string,
  ours: () => unknown,
  peer: OnDemand | null,
  least: number,
): Promise<void> {
  if (peer === null) return console.log(`  ${name}: not installed, no ratio`);
  await peer.again();
  const clock: number[] = [], busy: number[] = [], own: number[] = [], theirs: number[] = [];
  for (let turn = 0; turn < TURNS; turn++) {
    const first = turn % 2 === 0 ? await timed(ours) : null;
    const other = await peer.again();
    const mine = first ?? await timed(ours);
    clock.push(other.milliseconds / mine.milliseconds);
    busy.push(other.busy / mine.busy);
    own.push(mine.milliseconds);
    theirs.push(other.milliseconds);
  }
  await peer.end();
  const text = (ratios: readonly number[]): string =>
    `${middle(ratios).toFixed(1)} (${Math.min(...ratios).toFixed(1)} to ${Math.max(...ratios).toFixed(1)})`;
  console.log(
    `  ${name}: ${middle(theirs).toFixed(0)} ms, ours ${middle(own).toFixed(0)} ms; ${
      text(clock)
    } times as fast by the clock, ` +
      `${text(busy)} by time of the processor, ${TURNS} pairs: least asked ${least} ${
        middle(clock) >= least ? "met" : "NOT MET"
      }`,
  );
}

async function fits(folder: string): Promise<void> {
  const rows = await forestRows(10_000), path = `${folder}/rows.csv`;
  await Deno.writeTextFile(path, forestCsv(rows));
  let seed = 0;
  const fit = () => growForest(rows.x.columns, rows.outcome, { ...options, seed: ++seed });
  for (let i = 0; i < 5; i++) fit();
  console.log(`\nfit of ${rows.x.n} dug signals, ${rows.x.names.length} features, ${TREES} trees`);
  await beside("scikit-learn, n_jobs=1", fit, await sklearn(path, 1), 10);
  await beside("ranger, num.threads=1", fit, await ranger(path, 1), 10);
  const workers = await startForestWorkers({ workers: 2 });
  const together = () => workers.grow(rows.x.columns, rows.outcome, { ...options, seed: ++seed });
  for (let i = 0; i < 5; i++) await together();
  await beside("scikit-learn, n_jobs=2, ours in 2 threads", together, await sklearn(path, 2), 6);
  workers.end();
}

/** Every fold's forest and the shuffles of every feature, each forest asked again, as scikit-learn does it. */
function validate({ x, outcome }: ForestRows) {
  const found = groupFolds(x, outcome, { most: 10 });
  if (found.kind !== "folds") throw new Error(found.reason);
  const engine = outcomeForest({ trees: TREES, leastLeaf: 1, features: x.names });
  const [of] = crossValidate(x, outcome, { seed: 1, folds: found, engines: [engine], keepModels: true });
  if (of?.kind !== "predicted") throw new Error(of?.reason);
  permutationImportance(x, outcome, { seed: 1, folds: found, engine, models: of.models, repeats: 5 });
  return found;
}

async function validation(folder: string): Promise<void> {
  const rows = await forestRows(2000), path = `${folder}/validation.csv`;
  // Ten groups that stand for ten sites.
  const site = Int32Array.from({ length: rows.x.n }, (_, i) => Math.floor(i / 20) % 10);
  const grouped = { ...rows, x: { ...rows.x, groups: { ...rows.x.groups, site } } };
  const folds = validate(grouped);
  await Deno.writeTextFile(path, forestCsv(grouped, folds.of));
  const mine = [await timed(() => validate(grouped)), await timed(() => validate(grouped))];
  const own = Math.min(...mine.map(({ milliseconds }) => milliseconds));
  const args = [path, String(TREES), "4", "2", "5"];
  const other = await python<Load & { logLoss: number }>("forest_validation.py", { args });
  console.log(
    `${folds.count}-fold validation of ${rows.x.n} signals with 5 shuffles of each feature, ${TREES} trees, 4 features a split: ours ${
      own.toFixed(0)
    } ms in one thread` +
      (other === null
        ? "; scikit-learn is not installed, no ratio"
        : `; scikit-learn with two ${other.milliseconds.toFixed(0)} ms, ${
          (other.milliseconds / own).toFixed(1)
        } times as long: asked for 10 ${other.milliseconds / own >= 10 ? "met" : "NOT MET"}`),
  );
}

/** Rows repeated with a little noise, so that bins stay full however many rows there are. */
async function growth(): Promise<void> {
  const { x, outcome } = await forestRows(10_000);
  console.log("      rows        ms  microseconds a row and tree                  memory, MB");
  for (const n of [10_000, 100_000, 300_000, 1_000_000]) {
    const columns = x.columns.map((column) =>
      Float64Array.from({ length: n }, (_, i) => column[i % x.n]! + (i / x.n | 0) * 1e-6)
    );
    const labels = Uint8Array.from({ length: n }, (_, i) => outcome[i % x.n]!);
    const trees = 10;
    const { milliseconds } = await timed(() => growForest(columns, labels, { ...options, trees, seed: 1 }));
    const { rss } = Deno.memoryUsage();
    console.log(
      [
        String(n).padStart(10),
        milliseconds.toFixed(0).padStart(10),
        (1000 * milliseconds / n / trees).toFixed(3).padStart(29),
        `${(rss / 1e6).toFixed(0)}${
          n === 1_000_000 ? rss < 1e9 ? ", limit 1000 met" : ", limit 1000 NOT MET" : ""
        }`
          .padStart(28),
      ].join(""),
    );
  }
}

let compared = false;
Deno.bench("forest beside scikit-learn and ranger", { group: "forest", n: 1, warmup: 0 }, async () => {
  if (compared) return;
  compared = true;
  const folder = await Deno.makeTempDir();
  try {
    await fits(folder);
    await validation(folder);
    await growth();
  } finally {
    await Deno.remove(folder, { recursive: true });
  }
});
