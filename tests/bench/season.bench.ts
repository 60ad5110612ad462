import { RandomForestClassifier } from "ml-random-forest";
import { interquartileRange, median } from "simple-statistics";
import { loadDigLog, parseMachines } from "../../lib/log/mod.ts";
import { learningTables, outcomeForest, ridgeLogistic } from "../../lib/model/mod.ts";
import { sweepFeatures } from "../../lib/sweep/mod.ts";
import { largeLog } from "./_large_log.ts";

const machines = parseMachines(
  Deno.readTextFileSync(new URL("../../datasets/demo/machines.json", import.meta.url)),
);
const { season } = await loadDigLog({ name: "large.csv", bytes: await largeLog(10_000) }, machines);
const machineOf = new Map(machines.machines.map((machine) => [machine.machine, machine]));
const demo = await loadDigLog({ name: "demo.csv", bytes: await largeLog(400) }, machines);
const learning = learningTables(demo.season).reduce((a, b) => b.x.n > a.x.n ? b : a);

Deno.bench("10,000 signals: simple-statistics, median and quartiles alone", {
  group: "features",
  baseline: true,
}, () => {
  for (const { right, left } of season.signals) {
    const readings = [...(right?.readings ?? []), ...(left?.readings ?? [])];
    if (readings.length === 0) continue;
    median(readings);
    interquartileRange(readings);
  }
});
Deno.bench("10,000 signals: overiron, all sweep features", { group: "features" }, () => {
  for (const signal of season.signals) {
    sweepFeatures(signal, { machine: machineOf.get(signal.machine)!, repeatNoise: 6 });
  }
});

const rows = Array.from(
  { length: learning.x.n },
  (_, row) => learning.x.columns.map((column) => Number.isNaN(column[row]!) ? -999 : column[row]!),
);
const labels = [...learning.outcome];

Deno.bench(`fit ${rows.length} dug signals: ml-random-forest, 20 trees`, {
  group: "fit",
  baseline: true,
  n: 3,
  warmup: 1,
}, () => {
  new RandomForestClassifier({ seed: 1, nEstimators: 20, noOOB: true }).train(rows, labels);
});
Deno.bench(`fit ${rows.length} dug signals: overiron forest, 20 trees`, { group: "fit" }, () => {
  outcomeForest({ trees: 20 }).fit(learning.x, learning.outcome, { seed: 1 });
});
Deno.bench(`fit ${rows.length} dug signals: overiron ridge logistic`, { group: "fit" }, () => {
  ridgeLogistic().fit(learning.x, learning.outcome, { seed: 1 });
});
