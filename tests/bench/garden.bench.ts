// 2,000 bootstrap refits of a garden of about 200 trials, blocks drawn anew: sums by distinct gap against scipy.optimize.curve_fit doing the same refits in
// the same run (python3-scipy from Debian), with its own derivatives and with ours given to it. Ask for 50 times as fast.
import { python } from "./_python.ts";
import { blockRefits } from "../../lib/garden/_block_refits.ts";
import { fitDragPoints } from "../../lib/garden/_drag_fit.ts";
import { groupPoints, groupsOf } from "../../lib/garden/_group_points.ts";
import { driftOfTrials, fitDragCurves, simulatedGarden } from "../../lib/garden/mod.ts";
import { chance } from "../../lib/numbers/mod.ts";

const garden = simulatedGarden(
  [{ name: "large", qCm2: 80 }, { name: "medium", qCm2: 25 }, { name: "foil", qCm2: -20 }],
  { seed: 1, blocks: 14, trialsPerBlock: 14 },
);
const drift = driftOfTrials(garden);
const group = groupPoints(drift, groupsOf(drift)[0]!);
const fit = fitDragPoints(group.points, group.fitted.length);
const { refit, blocks } = blockRefits(fit);
const draws = Array.from({ length: 2000 }, (_, i) => {
  const draw = chance(1, "bench/garden", i);
  return Array.from({ length: blocks }, () => draw.integer(blocks));
});
const ours = (): (Float64Array | null)[] =>
  draws.map((draw) => {
    const times = new Float64Array(blocks);
    for (const block of draw) times[block]!++;
    return refit(times);
  });

Deno.bench(`2,000 refits of ${garden.trials.length} trials`, { group: "refits", n: 10, warmup: 3 }, () => {
  ours();
});
Deno.bench(`drift and curves of a garden of ${garden.trials.length} trials`, { group: "fit" }, () => {
  fitDragCurves(driftOfTrials(garden));
});

interface Peer {
  readonly seconds: number;
  readonly q: readonly (readonly number[])[];
}

async function scipy(): Promise<{ readonly plain: Peer; readonly derivatives: Peer } | null> {
  const { points } = fit.data;
  const job = {
    blocks,
    x2: points.map((point) => point.x2),
    pair: points.map((point) => point.pair),
    block: points.map((point) => point.block),
    apart: points.map((point) => point.clean - point.alone),
    drift: points.map((point) => point.clean - point.reading),
    weight: [...fit.weights],
    start: [...fit.theta.subarray(0, fit.data.pairs + 1)],
    draws,
  };
  return await python("garden_scipy.py", { job });
}

const other = await scipy();
let least = Infinity;
let mine = ours();
for (let round = 0; round < 20; round++) {
  const start = performance.now();
  mine = ours();
  least = Math.min(least, (performance.now() - start) / 1000);
}
if (other === null) console.log("scipy is not installed, nothing to compare with");
else {
  let most = 0;
  mine.forEach((theta, i) =>
    other.derivatives.q[i]!.forEach((q, j) =>
      most = Math.max(most, theta === null ? Infinity : Math.abs(theta[j]! - q))
    )
  );
  const times = (peer: Peer) =>
    `${(peer.seconds / least).toFixed(0)} times as long (${peer.seconds.toFixed(2)} s)`;
  console.log(
    `2,000 refits of ${garden.trials.length} trials, ${group.points.length} readings: ${
      (least * 1e6 / 2000).toFixed(1)
    } us each; ` +
      `curve_fit ${times(other.plain)}, with derivatives ${times(other.derivatives)}; q at most ${
        most.toExponential(1)
      } cm2 apart`,
  );
}
