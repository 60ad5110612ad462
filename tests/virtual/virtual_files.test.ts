import { expect, test } from "vitest";
import {
  virtualGardenFiles,
  virtualGardenPlan,
  virtualSeason,
  virtualSeasonFiles,
} from "../../lib/virtual/mod.ts";

test("virtualSeasonFiles() puts pieces together to one log, with one heading", () => {
  const texts = new Map<string, string>();
  for (const { name, text } of virtualSeasonFiles({ signals: 2100, seed: 3, probabilities: false })) {
    texts.set(name, (texts.get(name) ?? "") + text);
  }
  const log = texts.get("dig-log.csv")!.trim().split("\n");
  expect(log.length).toBe(2101);
  expect(log.filter((line) => line.startsWith("signal_id,")).length).toBe(1);
  expect(log[2100]!.startsWith("S2100,")).toBe(true);
  expect(texts.get("truth.csv")!.trim().split("\n").length).toBe(2101);
  expect(texts.get("about.txt")).toContain("Truth holds no probabilities: none were asked for.");
  expect(log[1]).toContain([...virtualSeason({ signals: 2100, seed: 3 })][0]!.row.readings_right!);
});

test("virtualSeasonFiles() says that it holds no probabilities above 20,000 signals", () => {
  // It stands before the log, so the log need not be made.
  const about =
    virtualSeasonFiles({ signals: 20_001, seed: 3 }).find(({ name }) => name === "about.txt")!.text;
  expect(about).toContain("Truth holds no probabilities: they are simulated for at most 20000 signals.");
});

test("virtualGardenFiles() keeps a plan's own columns", () => {
  const plan = virtualGardenPlan({ blocksA: 1, blocksB: 0 }).map((row) => ({ ...row, ground: "clay" }));
  const log = virtualGardenFiles(plan).find(({ name }) => name === "garden-log.csv")!.text.split("\n");
  expect(log[0]!.endsWith(",notes,ground")).toBe(true);
  expect(log[1]!.endsWith(",clay")).toBe(true);
});
