// Our forest on our own rows beside scikit-learn's and ranger's (Debian's python3-sklearn and r-cran-ranger), out of site.
import { describe, expect, test } from "vitest";
import {
  clusterRobustMean,
  isPresent,
  mean,
  standardDeviation,
  studentQuantile,
} from "../../lib/numbers/mod.ts";
import { askPeer, forestRows, hashOf, LEAVES, ourLosses, overSeeds, PEERS, SEEDS } from "./_forest_peers.ts";
import { mustHavePrograms } from "./_programs.ts";
import stored from "./_forest_peers.json" with { type: "json" };

const all = await forestRows();

test("the stored peers saw the rows that the demo season gives today", async () => {
  // Otherwise make them again: deno run -A tests/outside/_forest_peers.ts
  expect(await Promise.all(all.map(({ csv }) => hashOf(csv)))).toEqual(stored.tables.map(({ rows }) => rows));
});

/** Ours less a peer's mean log loss in standard errors: of signals by site, and of seeds. */
function apart(ours: readonly Float64Array[], peer: typeof stored.tables[0]["peers"][0], site: Int32Array) {
  const bySite = clusterRobustMean(overSeeds(ours).map((loss, i) => loss - peer.lossBySignal[i]!), site);
  if (!isPresent(bySite)) throw new Error(bySite.reason);
  const { low, high } = bySite.interval, sites = new Set(site).size;
  const own = ours.map((each) => mean(each)), theirs = peer.lossBySeed;
  const spread = Math.hypot(standardDeviation(own), standardDeviation(theirs)) / Math.sqrt(SEEDS);
  return {
    sites: bySite.value / ((high - low) / 2 / studentQuantile(0.975, sites - 1)),
    seeds: (mean(own) - mean(theirs)) / spread,
  };
}

describe.each(stored.tables.flatMap((table, i) => LEAVES.map((leaf) => ({ ...table, leaf, rows: all[i]! }))))(
  "the forest on $machine, $discrimination, leaves of $leaf",
  ({ leaf, peers, rows }) => {
    const ours = ourLosses(rows, { leaf, seeds: SEEDS });
    test.each(peers.filter((peer) => peer.leaf === leaf))(
      "has the out-of-site log loss of $name within two standard errors over sites, and is not worse by two over seeds",
      (peer) => {
        const { sites, seeds } = apart(ours, peer, rows.x.groups.site);
        expect(Math.abs(sites)).toBeLessThan(2);
        expect(seeds).toBeLessThan(2);
        // Where all do the same, chance alone is between them.
        if (leaf === 1) expect(seeds).toBeGreaterThan(-2);
      },
    );
  },
);

// Without a program it is listed as not run; with CI=true it runs and fails.
describe.each(PEERS)("$name", (peer) => {
  test("gives what is stored, run again", async ({ skip }) => {
    const asked = await askPeer(all[0]!, peer, { leaf: 3, seeds: 1 });
    if (asked === null && !mustHavePrograms()) return skip();
    if (asked === null) throw new Error(`${peer.name} is not installed`);
    const before = stored.tables[0]!.peers.find(({ name, leaf }) => name === peer.name && leaf === 3)!;
    // Another version may draw other numbers from a seed: then make the stored file again.
    expect(asked.version).toBe(before.version);
    expect(mean(asked.losses[0]!)).toBeCloseTo(before.lossBySeed[0]!, 5);
  }, 120_000);
});
