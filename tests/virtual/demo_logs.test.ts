// The demo logs that ship: they load, they are what the generator makes, and they have something to say.
import { expect, test } from "vitest";
import { loadDigLog, loadGardenLog, parseMachines } from "../../lib/log/mod.ts";

const folder = new URL("../../datasets/", import.meta.url);
const bytes = (name: string) => Deno.readFileSync(new URL(name, folder));
const machines = parseMachines(new TextDecoder().decode(bytes("demo/machines.json")));
const season = await loadDigLog({ name: "dig-log.csv", bytes: bytes("demo/dig-log.csv") }, machines);
const garden = await loadGardenLog({ name: "garden-log.csv", bytes: bytes("demo/garden-log.csv") }, machines);

test("the dig log loads with a few rejected rows, one blank row and every kind of signal", () => {
  const account = season.report.accounts[0]!;
  expect(account.accepted).toBeGreaterThanOrEqual(400);
  expect(account.rejected).toBeGreaterThanOrEqual(4);
  expect(account.rejected).toBeLessThanOrEqual(8);
  expect(account.blank).toBe(1);
  const { signals } = season.season;
  expect(new Set(signals.map((signal) => signal.site)).size).toBeGreaterThanOrEqual(8);
  expect(new Set(signals.map((signal) => signal.machine)).size).toBe(2);
  const statuses = new Set(signals.map((signal) => signal.outcome.status));
  expect([...statuses].sort()).toEqual(["hazard", "known", "not-dug", "nothing-found", "stopped", "unknown"]);
  const known = signals.filter((signal) => signal.outcome.status === "known");
  const share = (name: string) =>
    known.filter((signal) => signal.outcome.class === name).length / known.length;
  expect(share("ferrous")).toBeGreaterThan(0.4);
  expect(share("masked-good")).toBeGreaterThan(0.06);
  expect(share("masked-good")).toBeLessThan(0.16);
  expect(
    known.filter((signal) => signal.outcome.class === "masked-good" && signal.outcome.grade === "measured")
      .length,
  )
    .toBeGreaterThan(10);
});

test("the garden log has at least 150 trials, and each block reads its targets and neighbours alone", () => {
  const { trials } = garden.garden;
  expect(trials.length).toBeGreaterThanOrEqual(150);
  expect(garden.report.accounts[0]!.rejected).toBe(1);
  const blocks = new Set(trials.map((trial) => trial.block));
  expect(blocks.size).toBeGreaterThanOrEqual(12);
  for (const block of blocks) {
    const inside = trials.filter((trial) => trial.block === block);
    const alone = (name: "target" | "neighbour", other: "target" | "neighbour") =>
      new Set(inside.filter((trial) => trial[other] === null).map((trial) => trial[name]));
    for (const trial of inside) {
      if (trial.target !== null) expect(alone("target", "neighbour")).toContain(trial.target);
      if (trial.neighbour !== null) expect(alone("neighbour", "target")).toContain(trial.neighbour);
    }
  }
});

test("the descriptor has the size and checksum of each file", async () => {
  const descriptor = JSON.parse(new TextDecoder().decode(bytes("datapackage.json")));
  expect(descriptor.resources.length).toBe(3);
  for (const resource of descriptor.resources) {
    const data = bytes(resource.path);
    expect(resource.bytes).toBe(data.length);
    const hash = new Uint8Array(await crypto.subtle.digest("SHA-256", data));
    expect(resource.hash).toBe(`sha256:${[...hash].map((b) => b.toString(16).padStart(2, "0")).join("")}`);
  }
});

test("the generator makes the files that ship, byte for byte, in another zone and locale", async () => {
  const run = await new Deno.Command(Deno.execPath(), {
    args: ["run", "-A", "--no-lock", new URL("make_demo.ts", folder).pathname, "--check"],
    env: { TZ: "Pacific/Chatham", LANG: "tr_TR.UTF-8" },
    stdout: "piped",
    stderr: "piped",
  }).output();
  expect(new TextDecoder().decode(run.stderr)).toBe("");
  expect(run.code).toBe(0);
});
