import { describe, expect, test } from "vitest";
import { costOfRule } from "../../lib/decide/cost_of_rule.ts";
import { goodFindsOf } from "../../lib/decide/good_finds.ts";
import { worthRule } from "../../lib/decide/worth_rule.ts";
import { isPresent } from "../../lib/numbers/mod.ts";
import { madeSignal } from "../model/_season.ts";
import type { Find } from "../../lib/log/mod.ts";

describe("costOfRule()", () => {
  const goodFinds = [1, 0, 0, 2, 0, 1], site = [0, 0, 1, 1, 2, 2];
  test("counts holes, finds, what is spared and what is missed, as worked by hand", () => {
    const cost = costOfRule("mine", { digs: [1, 1, 0, 1, 0, 0], goodFinds, site });
    expect([cost.holes, cost.goodFinds]).toEqual([3, 3]);
    expect(cost.holesPerGoodFind).toMatchObject({ value: 1 });
    expect(cost.holesSpared).toMatchObject({ value: 0.5 });
    expect(cost.goodsMissed).toMatchObject({ value: 0.25 });
  });
  test("digging everything spares and misses nothing, which is counted, not estimated", () => {
    const cost = costOfRule("all", { digs: [1, 1, 1, 1, 1, 1], goodFinds, site });
    if (!isPresent(cost.holesSpared) || !isPresent(cost.goodsMissed)) throw new Error("absent");
    expect([cost.holesSpared.value, cost.holesSpared.interval.level, cost.goodsMissed.interval.high]).toEqual(
      [0, 1, 0],
    );
    expect(cost.holesPerGoodFind).toMatchObject({ value: 1.5 });
  });
  test("a rule that finds nothing has no holes for a find, and says so", () => {
    expect(costOfRule("none", { digs: [0, 1, 1, 0, 1, 0], goodFinds, site }).holesPerGoodFind).toMatchObject({
      absent: "none found",
    });
    const nothing = costOfRule("all", { digs: [1, 1], goodFinds: [0, 0], site: [0, 1] });
    expect(nothing.goodsMissed).toMatchObject({ absent: "no cases" });
  });
  test("refuses lengths that differ and a dig that is neither", () => {
    expect(() => costOfRule("mine", { digs: [1], goodFinds, site })).toThrow(
      "Cannot cost rule: need equal lengths, got 1, 6 and 6",
    );
    expect(() => costOfRule("mine", { digs: [2], goodFinds: [0], site: [0] })).toThrow(
      "Cannot cost rule: digs must be 0 or 1, got 2",
    );
  });
});

describe("goodFindsOf()", () => {
  const find = (find_id: string, keep: Find["keep"]): Find =>
    ({
      find_id,
      hole_id: "h",
      order: 1,
      metal: "non-ferrous",
      keep,
      depth_cm: null,
      readings_alone: null,
      what: null,
      reported: null,
    }) as Find;
  test("counts finds marked to keep, once each, and no hazards", () => {
    expect(goodFindsOf([
      madeSignal({ finds: [find("a", "yes"), find("b", "no"), find("c", "hazard")] }),
      madeSignal({ finds: [find("a", "yes"), find("d", "yes")] }),
      madeSignal({ finds: [], outcome: { status: "known", class: "masked-good", grade: "as-stated" } }),
      madeSignal({ finds: [] }),
    ])).toEqual([1, 1, 1, 0]);
  });
});

describe("worthRule()", () => {
  test("digs where the chance of something good is at least one in the holes it is worth", () => {
    const p = Float64Array.of(0.9, 0.06, 0.04, 0.8, 0.2, 0, 0.79, 0.2, 0.01);
    expect([...worthRule(p, 5)]).toEqual([0, 0, 1]);
    expect([...worthRule(p, 10)]).toEqual([0, 1, 1]);
    expect(() => worthRule(p, 1)).toThrow(
      "Cannot make dig rule: a good find must be worth more than 1 hole, got 1",
    );
  });
});
