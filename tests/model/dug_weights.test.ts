import { describe, expect, test } from "vitest";
import type { Outcome, Signal } from "../../lib/log/mod.ts";
import { dugWeights } from "../../lib/model/dug_weights.ts";
import { signalTables } from "../../lib/model/mod.ts";
import { idOf, machine, madeSignal } from "./_season.ts";

const known: Outcome = { status: "known", class: "ferrous", grade: "measured" };
const notDug: Outcome = { status: "not-dug", class: null, grade: null };

const signals = (count: number, over: Partial<Signal>): Signal[] =>
  Array.from({ length: count }, () => madeSignal(over));
const tableOf = (...parts: Signal[][]) =>
  signalTables({
    machines: [machine],
    settings: [],
    signals: parts.flat().map((signal, i) => ({ ...signal, signal_id: idOf("s", i) })),
  })[0]!;

describe("dugWeights()", () => {
  test("takes the chances that the log states, one over each", () => {
    const found = dugWeights(tableOf(
      signals(40, { dig_chance: 1, outcome: known }),
      signals(20, { dig_chance: 0.25, outcome: known }),
      signals(60, { dig_chance: 0.25, dug: "no", outcome: notDug }),
    ));
    if ("absent" in found) throw new Error(found.reason);
    expect(found.how).toBe("recorded");
    expect([...new Set(found.weights)]).toEqual([1, 4]);
    // Kish (1965): the square of the sum of the weights over the sum of their squares.
    expect(found.effective).toBeCloseTo(120 ** 2 / (40 + 20 * 16), 12);
    expect(found.cut).toBe(0);
  });

  test("cuts a weight above ten, and says how many", () => {
    const found = dugWeights(tableOf(
      signals(60, { dig_chance: 0.5, outcome: known }),
      signals(2, { dig_chance: 0.01, outcome: known }),
      signals(60, { dig_chance: 0.5, dug: "no", outcome: notDug }),
    ));
    if ("absent" in found) throw new Error(found.reason);
    expect([found.cut, Math.max(...found.weights)]).toEqual([2, 10]);
  });

  test("models the digging where chances were not written down: a call's weight is its signals over its holes", () => {
    const found = dugWeights(tableOf(
      signals(180, { my_call: "good", outcome: known }),
      signals(20, { my_call: "good", dug: "no", outcome: notDug }),
      signals(50, { my_call: "iron", outcome: known }),
      signals(150, { my_call: "iron", dug: "no", outcome: notDug }),
    ));
    if ("absent" in found) throw new Error(found.reason);
    expect(found.how).toBe("modelled");
    // Firth's penalty moves a share a little towards one half: by (n p + 1/2) / (n + 1) for a group of its own.
    expect(found.weights[0]).toBeCloseTo(201 / 180.5, 6);
    expect(found.weights[200]).toBeCloseTo(201 / 50.5, 6);
  });

  test("gives no weights that lean on fewer than 30 holes, nor where all or none were dug", () => {
    const lean = dugWeights(tableOf(
      signals(20, { dig_chance: 1, outcome: known }),
      signals(15, { dig_chance: 0.1, outcome: known }),
      signals(90, { dig_chance: 0.1, dug: "no", outcome: notDug }),
    ));
    expect(lean).toMatchObject({ absent: "too few" });
    expect("reason" in lean && lean.reason).toContain("as much as 19 dug by lot; it needs 30");
    expect(dugWeights(tableOf(signals(40, { outcome: known })))).toMatchObject({ absent: "none passed" });
    expect(dugWeights(tableOf(signals(40, { dug: "no", outcome: notDug })))).toMatchObject({
      absent: "none dug",
    });
  });
});
