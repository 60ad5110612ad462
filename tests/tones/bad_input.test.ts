// Schemes and logs that cannot be used, or only by a stated rule: each ends in a clear error or in that rule.
import { describe, expect, test } from "vitest";
import { parseMachines, type ToneScheme } from "../../lib/log/mod.ts";
import {
  bandByOutcome,
  bandHeardByRead,
  bandOf,
  bandsDropped,
  bestBreaks,
  betterBreaks,
  checkToneScheme,
  cleanByTogether,
  compareSchemes,
  compareSchemesInGarden,
  digOrPass,
  gardenSounds,
  passBands,
  pitchOf,
  signalBand,
  signalsAboveBreak,
  soundOfPasses,
} from "../../lib/tones/mod.ts";
import { deepFreeze, four, machineA, machineB, passes, signal, trial } from "./_log_rows.ts";

const machinesFile = (change: (machine: Record<string, unknown>) => void): string => {
  const machine = structuredClone(machineA) as unknown as Record<string, unknown>;
  change(machine);
  const settings = [{ settings: "A-open", machine: "Machine A", discrimination: "none" }];
  return JSON.stringify({ schema: "overiron-machines/1", machines: [machine], settings });
};
const withBreaks = (breaks: readonly number[]) => (machine: Record<string, unknown>) => {
  machine.tones = { ...four, breaks };
};

describe("a scheme that cannot be used", () => {
  test.each([
    ["breaks out of order", [320, 210, 430], /ascend|must rise/],
    ["breaks that overlap: two at one place", [210, 210, 430], /ascend|must rise/],
    ["a break above the scale", [210, 320, 601], /scale|600/],
    ["fewer breaks than bands need", [210, 320], /band/],
  ])("%s: refused by checkToneScheme() and in a machines file", (_, breaks, words) => {
    const scheme: ToneScheme = { ...four, breaks };
    expect(() => checkToneScheme(scheme, { scale: machineA.scale, ironBreak: 210 })).toThrow(RangeError);
    expect(() => checkToneScheme(scheme, { scale: machineA.scale, ironBreak: 210 })).toThrow(words);
    expect(() => parseMachines(machinesFile(withBreaks(breaks)))).toThrow(words);
  });
  test("a break on the low end, below which nothing can lie: refused by checkToneScheme()", () => {
    expect(() => checkToneScheme({ ...four, breaks: [0, 320, 430] }, { scale: machineA.scale })).toThrow(
      new RangeError('Cannot use tone scheme "four": a break must lie above 0 and not above 600, got 0'),
    );
  });
  test("a good machines file is taken, so that what is refused above is refused for its fault", () => {
    expect(parseMachines(machinesFile(() => {})).machines[0]!.tones).toEqual(four);
  });
  test("no iron break: refused in a machines file and by checkToneScheme()", () => {
    expect(() => parseMachines(machinesFile((machine) => delete machine.iron_break))).toThrow(/iron_break/);
    expect(() => parseMachines(machinesFile((machine) => machine.iron_break = "low"))).toThrow(/iron_break/);
    expect(() => parseMachines(machinesFile((machine) => machine.iron_break = 700))).toThrow(
      /iron_break must lie on the scale/,
    );
    expect(() => checkToneScheme(four, { scale: machineA.scale, ironBreak: NaN })).toThrow(
      new TypeError('Cannot use tone scheme "four": the iron break must be a number, got NaN'),
    );
  });
  test("a scheme for another scale, put in for comparison: refused", () => {
    const season = { machines: [machineB], settings: [], signals: [signal("1", { machine: "Machine B" })] };
    expect(() => compareSchemes(season, { schemes: { "Machine B": [four] } })).toThrow(
      new RangeError('Cannot use tone scheme "four": a break must lie above -200 and not above 200, got 210'),
    );
    const garden = {
      machines: [machineB],
      settings: [],
      trials: [
        trial("1", { machine: "Machine B", target: "disc", right: passes(50) }),
        trial("2", { machine: "Machine B", target: "disc", neighbour: "nail", right: passes(0) }),
      ],
    };
    expect(() => compareSchemesInGarden(garden, { schemes: { "Machine B": [four] } })).toThrow(RangeError);
  });
});

const known = (name: "ferrous" | "masked-good" | "non-ferrous") =>
  ({ status: "known", class: name, grade: "measured" }) as const;
const seasonOf = (machine: typeof machineA, readings: readonly number[]) =>
  deepFreeze({
    machines: [machine],
    settings: [],
    signals: readings.map((reading, i) =>
      signal(`s${i}`, {
        machine: machine.machine,
        dug: "yes",
        outcome: known(i % 2 ? "masked-good" : "ferrous"),
        right: passes(reading),
      })
    ),
  });
const gardenOf = (machine: typeof machineA) =>
  deepFreeze({
    machines: [machine],
    settings: [],
    trials: [
      trial("c", { machine: machine.machine, target: "disc", right: passes(500) }),
      trial("n", { machine: machine.machine, neighbour: "nail", right: passes(100) }),
      trial("b", {
        machine: machine.machine,
        target: "disc",
        neighbour: "nail",
        gap_cm: 2,
        right: passes(250),
      }),
    ],
  });

describe("one band only: everything sounds alike, and every measure says so", () => {
  const one: ToneScheme = {
    name: "one",
    kind: "bands",
    breaks: [],
    bands: [{ name: "any", pitch_hz: 220, loudness: 0.8 }],
  };
  const machine = { ...machineA, tones: one };
  const season = seasonOf(machine, [100, 300, 400, 500]);
  test("counts, agreement and moves", () => {
    expect(bandByOutcome(season)[0]!.signals.columns).toEqual(["any", "silent", "not logged"]);
    const [both] = cleanByTogether(gardenOf(machine));
    expect(both!.agreement.same).toMatchObject({ value: 1 });
    expect(both!.agreement.kappa).toMatchObject({
      absent: "undefined",
      reason: "Kappa does not exist where everything lies in one band",
    });
    expect(both!.agreement.symmetry).toMatchObject({ absent: "no moves" });
    const [dropped] = bandsDropped(gardenOf(machine));
    expect(dropped!.atLeastOne).toMatchObject({ value: 0 });
    expect(dropped!.intoLowest).toMatchObject({ absent: "no trials" });
  });
  test("search of breaks and sound", () => {
    expect(bestBreaks([300], [100], { mostBands: 1 })).toMatchObject({ breaks: [], cost: 1, note: null });
    expect(betterBreaks(season)[0]!.ownBreaks).toEqual([]);
    expect(compareSchemes(season)[0]!.maskedHeard).toMatchObject({ value: 0 });
    expect(soundOfPasses({ right: passes(100, 500), left: null }, machine).left.length).toBeGreaterThan(0);
  });
});

describe("a reading on a break belongs to the upper band, wherever a band is told", () => {
  test.each([[209, 0], [210, 1], [319, 1], [320, 2], [430, 3]])("%i lies in band %i", (reading, band) => {
    const record = { right: passes(reading), left: null, cross: null };
    expect(bandOf(reading, four)).toBe(band);
    expect(signalBand(record, machineA)).toBe(band);
    const counted = passBands([record.right], four);
    expect("counts" in counted && counted.counts.indexOf(1)).toBe(band);
    expect(pitchOf(reading, four)).toBe(110 * (band + 1));
  });
  test("the iron break counts as above", () => {
    const [arm] = signalsAboveBreak(seasonOf(machineA, [210, 210, 209, 209]));
    expect(arm).toMatchObject({ ferrous: { value: 0.5 }, maskedGood: { value: 0.5 } });
  });
});

describe("two machines, or two discrimination settings: told apart, never pooled", () => {
  const a = seasonOf(machineA, [100, 300, 400, 500]).signals;
  const b = a.map((one) => ({
    ...one,
    signal_id: `b${one.signal_id}`,
    machine: "Machine B",
    right: passes(50),
    tone_heard: "metal",
  }));
  const silenced = a.map((one) => ({
    ...one,
    signal_id: `q${one.signal_id}`,
    discrimination: "iron-silenced" as const,
  }));
  const season = deepFreeze({
    machines: [machineA, machineB],
    settings: [],
    signals: [...a, ...b, ...silenced],
  });
  const arms = [["Machine A", "iron-silenced"], ["Machine A", "none"], ["Machine B", "none"]];
  const namesOf = (rows: readonly { readonly of: Readonly<Record<string, string>> }[]) =>
    [...new Set(rows.map(({ of }) => JSON.stringify([of.machine, of.discrimination])))].map((text) =>
      JSON.parse(text)
    );
  test("in every table of a season", () => {
    for (
      const rows of [
        bandByOutcome(season),
        bandHeardByRead(season),
        signalsAboveBreak(season),
        betterBreaks(season),
        compareSchemes(season),
      ]
    ) {
      expect(namesOf(rows)).toEqual(arms);
    }
    expect(bandByOutcome(season).map(({ signals }) => signals.n)).toEqual([4, 4, 4]);
  });
  test("in every table of a garden", () => {
    const trials = gardenOf(machineA).trials;
    const garden = deepFreeze({
      machines: [machineA, machineB],
      settings: [],
      trials: [
        ...trials,
        ...trials.map((one) => ({
          ...one,
          trial_id: `b${one.trial_id}`,
          machine: "Machine B",
          right: passes(50),
        })),
      ],
    });
    for (const rows of [cleanByTogether(garden), bandsDropped(garden), compareSchemesInGarden(garden)]) {
      expect(namesOf(rows)).toEqual([["Machine A", "none"], ["Machine B", "none"]]);
    }
    expect(gardenSounds(garden)).toHaveLength(2);
  });
  test("a machine that the machines file does not hold is refused by name", () => {
    const stray = { machines: [machineA], settings: [], signals: b };
    const message = 'Cannot give bands: machine must be in the machines list, got "Machine B"';
    for (
      const run of [
        bandByOutcome,
        bandHeardByRead,
        signalsAboveBreak,
        betterBreaks,
        compareSchemes,
        digOrPass,
      ]
    ) {
      expect(() => run(stray)).toThrow(new RangeError(message));
    }
  });
});

test("a scheme of 100 bands goes all the way", () => {
  const hundred: ToneScheme = {
    name: "hundred",
    kind: "bands",
    breaks: Array.from({ length: 99 }, (_, i) => 6 * (i + 1)),
    bands: Array.from(
      { length: 100 },
      (_, i) => ({ name: `band ${i}`, pitch_hz: 110 + 10 * i, loudness: 0.8 }),
    ),
  };
  const machine = { ...machineA, tones: checkToneScheme(hundred, { scale: machineA.scale, ironBreak: 210 }) };
  const season = seasonOf(machine, [100, 300, 400, 500, 599, 600]);
  expect(bandByOutcome(season)[0]!.signals.counts.flat().filter((count) => count === 1)).toHaveLength(6);
  expect(cleanByTogether(gardenOf(machine))[0]!.trials.counts[83]![41]).toBe(1);
  expect(bandsDropped(gardenOf(machine))[0]!.counts).toEqual([{ dropped: 42, trials: 1 }]);
  expect(compareSchemes(season)[0]!.bands).toBe(100);
});
