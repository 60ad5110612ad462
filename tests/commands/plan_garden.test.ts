import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { loadGardenLog, parseMachines } from "../../lib/log/mod.ts";
import { root } from "./_season.ts";

let room = "";
beforeAll(async () => {
  room = await Deno.makeTempDir();
});
afterAll(() => Deno.remove(room, { recursive: true }));

async function plan(args: readonly string[]) {
  const { code, stdout, stderr } = await new Deno.Command(Deno.execPath(), {
    args: ["run", "-A", "--no-lock", `${root}/lib/commands/plan_garden.ts`, ...args],
    cwd: room,
    env: { INIT_CWD: room },
  }).output();
  const text = (bytes: Uint8Array) => new TextDecoder().decode(bytes);
  return { code, stdout: text(stdout), stderr: text(stderr) };
}

describe("deno task plan-garden", () => {
  test("writes a sheet and a log; the log loads beside the demo machines, all of it planned but what is filled", async () => {
    const { code } = await plan(["--out", "one", "--hours", "3", "--blind"]);
    expect(code).toBe(0);
    const csv = await Deno.readTextFile(`${room}/one/garden-plan.csv`);
    const [head, first, ...rest] = csv.trimEnd().split("\n");
    const right = head!.split(",").indexOf("readings_right");
    const filled = first!.split(",").map((cell, i) => i === right ? "500 501 x" : cell).join(",");
    const machines = parseMachines(await Deno.readTextFile(`${root}/datasets/demo/machines.json`));
    const bytes = new TextEncoder().encode([head, filled, ...rest].join("\n"));
    const { report } = await loadGardenLog({ name: "plan.csv", bytes }, machines);
    expect(report.accounts[0]).toMatchObject({ accepted: 1, planned: rest.length, rejected: 0 });
    expect(await Deno.readTextFile(`${room}/one/garden-plan.html`)).toContain("For whoever reads");
  });

  test("proposes the next trials of the demo garden, laid and numbered on from where the log ends", async () => {
    const { code, stdout } = await plan([`${root}/datasets/demo/garden-log.csv`, "--out", "two"]);
    expect(code).toBe(0);
    expect(stdout).toMatch(
      /^Machine A, copper disc \+ large nail: lay [\d.]+ cm.*; interval [\d.]+ cm wide, then about [\d.]+$/m,
    );
    const [head, first] = (await Deno.readTextFile(`${room}/two/garden-plan.csv`)).split("\n");
    const row = Object.fromEntries(head!.split(",").map((name, i) => [name, first!.split(",")[i]]));
    expect(row).toMatchObject({ trial_id: "T291", block: "B21", depth_cm: "8", coil_height_cm: "2" });
  });

  test("a foreign garden log with its mapping gives the plan that the log in the kit's own headings gives", async () => {
    const own = await Deno.readTextFile(`${root}/datasets/demo/garden-log.csv`);
    const [head, ...lines] = own.split("\n");
    const foreign = head!.split(",").map((name) =>
      name === "gap_cm" ? "Abstand" : name === "target" ? "Ziel" : name
    );
    await Deno.writeTextFile(`${room}/foreign.csv`, [foreign.join(","), ...lines].join("\n"));
    await Deno.copyFile(`${root}/datasets/demo/machines.json`, `${room}/machines.json`);
    await Deno.writeTextFile(
      `${room}/mapping.json`,
      JSON.stringify({
        schema: "overiron-columns/1",
        table: "trials",
        columns: [{ heading: "Abstand", field: "gap_cm" }, { heading: "Ziel", field: "target" }],
      }),
    );
    const mapped = await plan(["foreign.csv", "--columns", "mapping.json", "--out", "mapped"]);
    const plain = await plan([`${root}/datasets/demo/garden-log.csv`, "--out", "plain"]);
    expect([mapped.code, mapped.stdout]).toEqual([0, plain.stdout]);
    expect(await Deno.readTextFile(`${room}/mapped/garden-plan.csv`)).toBe(
      await Deno.readTextFile(`${room}/plain/garden-plan.csv`),
    );
    const without = await plan(["foreign.csv", "--out", "without"]);
    expect(without.code).toBe(1);
    expect(without.stderr).toContain("Cannot use foreign.csv: ");
  });

  test("ends with 1 and says why for objects it cannot read and a time too short", async () => {
    const bad = await plan(["--targets", "disc", "--out", "three"]);
    expect([bad.code, bad.stderr.trim()]).toEqual([
      1,
      'Cannot use --targets: write NAME:DIAMETER_MM, got "disc"',
    ]);
    const short = await plan(["--hours", "0.5", "--out", "three"]);
    expect(short.code).toBe(1);
    expect(short.stderr).toMatch(/^Cannot plan a garden: four blocks of 15 trials take 120 minutes, got 30/);
    await expect(Deno.stat(`${room}/three`)).rejects.toThrow();
  });
});
