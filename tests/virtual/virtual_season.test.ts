import { describe, expect, test } from "vitest";
import { loadDigLog, parseMachines } from "../../lib/log/mod.ts";
import {
  logCsv,
  seasonProbabilities,
  VIRTUAL_MACHINES,
  VIRTUAL_SEASON_FIELDS,
  VIRTUAL_SITES,
  virtualSeason,
} from "../../lib/virtual/mod.ts";

const season = [...virtualSeason({ signals: 1500, seed: 6 })];
const machines = parseMachines(JSON.stringify({
  schema: "overiron-machines/1",
  machines: [VIRTUAL_MACHINES[0]!.machine, VIRTUAL_MACHINES[2]!.machine],
  settings: VIRTUAL_MACHINES.map(({ settings: { settings, machine, coil, discrimination } }) => ({
    settings,
    machine,
    coil,
    discrimination,
  })),
}));

describe("virtualSeason()", () => {
  test("gives rows that the loader accepts, all of them, with every outcome", async () => {
    const bytes = new TextEncoder().encode(logCsv(VIRTUAL_SEASON_FIELDS, season.map(({ row }) => row)));
    const { season: loaded, report } = await loadDigLog({ name: "season.csv", bytes }, machines);
    expect(report.accounts[0]).toMatchObject({ rows: 1500, accepted: 1500, rejected: 0 });
    const statuses = new Set(loaded.signals.map(({ outcome }) => outcome.status));
    for (const status of ["known", "stopped", "nothing-found", "not-dug", "unknown", "hazard"]) {
      expect(statuses).toContain(status);
    }
    // The derived outcome is the true class in most holes: a find not re-read hides some, a magnet forgotten others.
    const known = loaded.signals.flatMap((signal, i) =>
      signal.outcome.class && season[i]!.truth.class ? [signal.outcome.class === season[i]!.truth.class] : []
    );
    expect(known.filter((same) => same).length / known.length).toBeGreaterThan(0.9);
  });

  test("is the same from one seed, another from another, and the start of a longer one has the same scenes", () => {
    const again = [...virtualSeason({ signals: 100, seed: 6 })];
    expect(again.map(({ truth }) => [truth.kind, truth.depthCm])).toEqual(
      season.slice(0, 100).map(({ truth }) => [truth.kind, truth.depthCm]),
    );
    expect([...virtualSeason({ signals: 100, seed: 7 })].map(({ row }) => row)).not.toEqual(
      again.map(({ row }) => row),
    );
  });

  test("has more iron where the site has more", () => {
    const share = (name: string) => {
      const here = season.filter(({ truth }) => truth.site.site === name);
      return here.filter(({ truth }) => truth.class === "ferrous").length / here.length;
    };
    expect(share("Brickyard bank")).toBeGreaterThan(share("Osier strip") + 0.1);
  });

  test("lowers deep clean goods on mineral sites by the stated shift, and nothing else", () => {
    for (const { truth } of season) {
      expect(truth.groundLagDeg).toBeCloseTo(truth.site.mineral * 1.5 * Math.max(0, truth.depthCm - 10), 12);
    }
    expect(season.some(({ truth }) => truth.kind === "clean good" && truth.groundLagDeg > 0)).toBe(true);
  });

  test("reads masked goods lower than clean ones, with more spread, and some iron above the break", () => {
    const medianOf = (values: number[]) => values.sort((a, b) => a - b)[values.length >> 1]!;
    const of = (kind: string) =>
      season.filter(({ row, truth }) => row.settings === "A-open" && truth.kind === kind);
    const given = (truth: (typeof season)[number]["truth"]) =>
      [...truth.heard.right, ...truth.heard.left].filter((pass) => pass !== null);
    const centre = (kind: string) => medianOf(of(kind).map(({ truth }) => medianOf(given(truth))));
    const range = (kind: string) =>
      medianOf(of(kind).map(({ truth }) => Math.max(...given(truth)) - Math.min(...given(truth))));
    expect(centre("masked good")).toBeLessThan(centre("clean good") - 50);
    expect(range("masked good")).toBeGreaterThan(2 * range("clean good"));
    expect(centre("iron that reads high")).toBeGreaterThan(machines.machines[0]!.iron_break);
  });

  test("digs by the stated chances", () => {
    const sure = season.filter(({ truth }) => truth.digChance === 0.92);
    const dug = sure.filter(({ row }) => row.dug !== "no").length / sure.length;
    // Binomial: 4 standard errors at 700 or so signals.
    expect(Math.abs(dug - 0.92)).toBeLessThan(4 * Math.sqrt(0.92 * 0.08 / sure.length));
  });

  test.each([[0], [1_000_001], [2.5], [NaN]])("refuses %s signals", (signals) => {
    expect(() => virtualSeason({ signals }).next()).toThrow(
      `Cannot make a season: signals must be a whole number from 1 to 1000000, got ${signals}`,
    );
  });

  test("refuses no site, no machine, and a site with more than all iron", () => {
    expect(() => virtualSeason({ sites: [] }).next()).toThrow("Cannot make a season: need a site, got none");
    expect(() => virtualSeason({ machines: [] }).next()).toThrow(
      "Cannot make a season: need a machine, got none",
    );
    expect(() => virtualSeason({ sites: [{ site: "Barn", iron: 2, mineral: 0 }] }).next()).toThrow(
      "Cannot make a season: iron of Barn must lie between 0 and 1, got 2",
    );
    expect(() => virtualSeason({ perOuting: 0 }).next()).toThrow(RangeError);
  });
});

describe("seasonProbabilities()", () => {
  // One machine and two sites without minerals: one pool of scenes, so that the test stays short.
  const sites = VIRTUAL_SITES.filter(({ mineral }) => mineral === 0).slice(0, 2);
  const truths = [...virtualSeason({ signals: 1500, seed: 12, sites, machines: [VIRTUAL_MACHINES[0]!] })].map(
    ({ truth }) => truth,
  );
  const known = seasonProbabilities(truths, { seed: 77 });
  if ("absent" in known) throw new Error(known.reason);
  const rows = truths.flatMap((truth, i) => truth.class ? [{ truth, p: known[i]! }] : []);

  test("sum to 1 and lie between 0 and 1", () => {
    for (const p of known) {
      expect(p.ferrous + p.nonFerrous + p.maskedGood).toBeCloseTo(1, 12);
      expect(Math.min(p.ferrous, p.nonFerrous, p.maskedGood)).toBeGreaterThanOrEqual(0);
      expect(p.effectiveScenes).toBeGreaterThanOrEqual(1 - 1e-9);
    }
  });

  test("are calibrated: of those given a chance, that share is so", () => {
    for (
      const [name, of] of [["ferrous", "ferrous"], ["non-ferrous", "nonFerrous"], [
        "masked-good",
        "maskedGood",
      ]] as const
    ) {
      for (const [low, high] of [[0, 0.1], [0.1, 0.5], [0.5, 0.9], [0.9, 1.01]] as const) {
        const inside = rows.filter(({ p }) => p[of] >= low && p[of] < high);
        if (inside.length < 20) continue;
        const mean = inside.reduce((sum, { p }) => sum + p[of], 0) / inside.length;
        const share = inside.filter(({ truth }) => truth.class === name).length / inside.length;
        // Four standard errors of a share, and 0.05 for what few effective scenes leave.
        expect(Math.abs(share - mean)).toBeLessThan(4 * Math.sqrt(mean * (1 - mean) / inside.length) + 0.05);
      }
    }
  });

  test("tell far more than the base rates", () => {
    const loss = (of: (row: (typeof rows)[number]) => number) =>
      -rows.reduce((sum, row) => sum + Math.log(Math.max(of(row), 1e-9)), 0) / rows.length;
    const chanceOf = ({ truth, p }: (typeof rows)[number]) =>
      truth.class === "ferrous" ? p.ferrous : truth.class === "non-ferrous" ? p.nonFerrous : p.maskedGood;
    const base = ({ truth }: (typeof rows)[number]) =>
      rows.filter((row) => row.truth.class === truth.class).length / rows.length;
    expect(loss(chanceOf)).toBeLessThan(0.5 * loss(base));
  });

  test("are absent above 20,000 signals, with the reason", () => {
    const many = seasonProbabilities(Array.from({ length: 20_001 }, () => truths[0]!));
    expect(many).toMatchObject({ absent: "too many", n: { signals: 20_001 } });
  });
});
