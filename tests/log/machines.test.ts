import { describe, expect, test } from "vitest";
import { FileFault, parseMachines } from "../../lib/log/mod.ts";
import { faultOf, MACHINES_JSON } from "./_helpers.ts";

type Loose = { machines: Record<string, any>[]; settings: Record<string, any>[]; schema: string };
const changed = (change: (file: Loose) => void): string => {
  const file = JSON.parse(JSON.stringify(MACHINES_JSON)) as Loose;
  change(file);
  return JSON.stringify(file);
};

test("parseMachines() reads machines and fills settings with stated defaults", () => {
  const file = parseMachines("\ufeff" + JSON.stringify(MACHINES_JSON));
  expect(file.machines.map((machine) => machine.machine)).toEqual(["Machine A", "Machine B"]);
  expect(file.settings[1]).toEqual({
    settings: "b-open",
    machine: "Machine B",
    coil: null,
    discrimination: "none",
    frequency_khz: null,
    ground_balance: "not-stated",
    iron_filter: null,
    mode: null,
    recovery: null,
    sensitivity: null,
    software_version: null,
  });
});

describe("parseMachines() refuses", () => {
  test.each<[string, (file: Loose) => void, string]>([
    ["another schema", (file) => file.schema = "x", "schema: "],
    ["no machines", (file) => file.machines = [], "machines: "],
    [
      "a scale upside down",
      (file) => file.machines[0]!.scale = { low: 5, high: 1, step: 1 },
      "machines.0.scale: low must be below high",
    ],
    [
      "a step that does not divide",
      (file) => file.machines[0]!.scale.step = 7,
      "machines.0.scale.step: step must divide high - low",
    ],
    [
      "an iron break off the scale",
      (file) => file.machines[0]!.iron_break = 900,
      "machines.0.iron_break: iron_break must lie on the scale",
    ],
    [
      "breaks that fall",
      (file) => file.machines[0]!.tones.breaks = [300, 150, 450],
      "machines.0.tones.breaks: Breaks must rise",
    ],
    [
      "a band too few",
      (file) => file.machines[0]!.tones.bands.pop(),
      "A scheme with 3 breaks has 4 bands, got 3",
    ],
    [
      "a sliding scheme with three ends",
      (file) => file.machines[1]!.tones.bands.push({ name: "c", pitch_hz: 1e3, loudness: 1 }),
      "A sliding scheme has two bands, its ends, got 3",
    ],
    ["a machine twice", (file) => file.machines[1]!.machine = "Machine A", "machines.1.machine: Named twice"],
    [
      "settings of no machine",
      (file) => file.settings[0]!.machine = "Machin A",
      'No such machine: "Machin A"; nearest is "Machine A"',
    ],
    ["settings twice", (file) => file.settings[1]!.settings = "a-quiet", "settings.1.settings: Named twice"],
    ["an unknown winding", (file) => file.settings[0]!.coil.winding = "round", "settings.0.coil.winding: "],
    [
      "a break off the scale",
      (file) => file.machines[0]!.tones.breaks = [150, 300, 700],
      "Breaks must lie on the scale",
    ],
  ])("%s", async (_, change, text) => {
    const fault = await faultOf(() => parseMachines(changed(change), "mine.json"));
    expect(fault).toBeInstanceOf(FileFault);
    expect(fault.message).toMatch(/^Cannot use mine\.json: it must follow overiron-machines\/1, got /);
    expect(fault.message).toContain(text);
  });

  test("text that is not JSON", async () => {
    expect((await faultOf(() => parseMachines("{machines"))).message).toMatch(
      /^Cannot read machines\.json: it must be JSON, got /,
    );
  });
});
