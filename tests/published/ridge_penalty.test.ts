import { expect, test } from "vitest";
import { ridgePenalty } from "../../lib/model/ridge_penalty.ts";
import * as iris from "./_forest_iris.ts";

const stored = JSON.parse(
  Deno.readTextFileSync(new URL("data/ridge_penalty.json", import.meta.url)),
) as { penalties: number[]; logLoss: number[]; chosen: number };

test("ridgePenalty() has the log losses and the choice of scikit-learn's grid search on iris (tests/published/_ridge_penalty.py)", () => {
  const n = iris.rows.length, outcome = Uint8Array.from(iris.outcome);
  const site = Int32Array.from({ length: n }, (_, i) => i % 5);
  // Two columns that tell something and eight that tell nothing: little penalty is too little, much too much.
  const noise = [[37, 101], [53, 97], [71, 89], [29, 83], [61, 103], [43, 107], [17, 79], [59, 73]] as const;
  const columns = [
    ...[0, 1].map((j) => Float64Array.from(iris.rows, (row) => row[j]!)),
    ...noise.map(([a, m]) => Float64Array.from({ length: n }, (_, i) => i * a % m)),
  ];
  const x = {
    n,
    names: columns.map((_, j) => `column ${j}`),
    columns,
    whyMissing: columns.map(() => new Uint8Array(n)),
    groups: { site, outing: site, observer: site },
  };
  const { lambda, tried } = ridgePenalty(x, outcome, { penalties: stored.penalties });
  expect(lambda).toBe(stored.chosen);
  expect(tried.map((each) => each.lambda)).toEqual(stored.penalties);
  // Both solvers are Newton's; that search stops near 1e-9 of the best.
  tried.forEach(({ logLoss }, k) => expect(logLoss).toBeCloseTo(stored.logLoss[k]!, 8));
});
