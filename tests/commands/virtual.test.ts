import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { loadDigLog, loadGardenLog, parseMachines } from "../../lib/log/mod.ts";
import { logCsv, VIRTUAL_GARDEN_FIELDS, virtualGardenPlan } from "../../lib/virtual/mod.ts";

const root = new URL("../../", import.meta.url).pathname;
let room = "";

async function run(task: string, ...args: string[]): Promise<{ code: number; stderr: string }> {
  const { code, stderr } = await new Deno.Command(Deno.execPath(), {
    args: ["run", "-A", "--no-lock", `${root}lib/commands/${task.replace("-", "_")}.ts`, ...args],
    cwd: root,
    env: { INIT_CWD: room, NO_COLOR: "1" },
    stdout: "piped",
    stderr: "piped",
  }).output();
  return { code, stderr: new TextDecoder().decode(stderr) };
}
const read = (path: string) => Deno.readFileSync(`${room}/${path}`);
const text = (path: string) => new TextDecoder().decode(read(path));

beforeAll(async () => {
  room = await Deno.makeTempDir();
});
afterAll(() => Deno.remove(room, { recursive: true }));

describe("virtual-garden", () => {
  test("makes a log of a plan that the loader accepts, and its truth", async () => {
    const plan = virtualGardenPlan({ blocksA: 1, blocksB: 1 });
    Deno.writeTextFileSync(`${room}/plan.csv`, logCsv(VIRTUAL_GARDEN_FIELDS, plan));
    const { code, stderr } = await run("virtual-garden", "--plan", "plan.csv", "--out", "garden");
    expect([code, stderr]).toEqual([0, `27 simulated trials and their truth are in ${room}/garden.\n`]);
    const machines = parseMachines(text("garden/machines.json"));
    const { report } = await loadGardenLog(
      { name: "garden-log.csv", bytes: read("garden/garden-log.csv") },
      machines,
    );
    expect(report.accounts[0]).toMatchObject({ rows: 27, accepted: 27 });
    expect(text("garden/truth-trials.csv").trim().split("\n").length).toBe(18);
    expect(text("garden/about.txt")).toContain("no particular machine");
  });

  test("tells a plan that cannot be laid, with status 1 and nothing written", async () => {
    Deno.writeTextFileSync(
      `${room}/bad.csv`,
      "trial_id,settings,target,neighbour,gap_cm\nX7,A-open,copper disc,small nail,-2\n",
    );
    const { code, stderr } = await run("virtual-garden", "--plan", "bad.csv", "--out", "bad");
    expect(code).toBe(1);
    expect(stderr).toBe(
      "Cannot lay trial X7: gap_cm must be 0 or above (objects would lie inside one another), got -2\n",
    );
    expect(() => Deno.statSync(`${room}/bad`)).toThrow(Deno.errors.NotFound);
  });

  test("tells a folder that cannot be written", async () => {
    Deno.writeTextFileSync(`${room}/in-the-way`, "");
    const { code, stderr } = await run("virtual-garden", "--plan", "plan.csv", "--out", "in-the-way");
    expect(code).toBe(1);
    expect(stderr).toContain(`Cannot write to ${room}/in-the-way`);
  });
});

describe("virtual-season", () => {
  test("makes as many signals as asked for, with truth", async () => {
    const one = await run("virtual-season", "--signals", "50", "--out", "one");
    expect(one.code).toBe(0);
    const machines = parseMachines(text("one/machines.json"));
    const { report } = await loadDigLog({ name: "dig-log.csv", bytes: read("one/dig-log.csv") }, machines);
    expect(report.accounts[0]).toMatchObject({ rows: 50, accepted: 50 });
    const [head, ...rows] = text("one/truth.csv").trim().split("\n");
    expect(head).toBe(
      "signal_id,kind,class,depth_cm,ground_lag_deg,dig_chance,p_ferrous,p_non_ferrous,p_masked_good,effective_scenes",
    );
    expect(rows.length).toBe(50);
    for (const row of rows) {
      const [p, q, r] = row.split(",").slice(6, 9).map(Number) as [number, number, number];
      expect(p + q + r).toBeCloseTo(1, 4);
    }
  });

  test("refuses fewer than 50 signals", async () => {
    const { code, stderr } = await run("virtual-season", "--signals", "49");
    expect([code, stderr]).toEqual([
      1,
      'Cannot use --signals: it must be a whole number from 50 to 1000000, got "49"\n',
    ]);
  });
});
