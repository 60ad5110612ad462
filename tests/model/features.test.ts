import { describe, expect, test } from "vitest";
import { FIELDS } from "../../lib/log/fields.ts";
import { FEATURES, featuresNamed, firstPasses, READING_FEATURES } from "../../lib/model/features.ts";
import { signalTables } from "../../lib/model/season_tables.ts";
import { machine, madeSignal, passesOf } from "./_season.ts";
import type { Signal } from "../../lib/log/mod.ts";

function cellOf(feature: string, over: Partial<Signal>): { value: number; why: number } {
  const season = { machines: [machine], settings: [], signals: [madeSignal(over)] };
  const { x } = signalTables(season, { features: [feature] })[0]!;
  return { value: x.columns[0]![0]!, why: x.whyMissing[0]![0]! };
}

describe("featuresNamed()", () => {
  test("refuses by name every field that is known only after the dig", () => {
    const after = [...FIELDS.signal, ...FIELDS.find].filter((field) => field.known === "after");
    expect(after.length).toBeGreaterThan(5);
    for (const { name } of [...after, { name: "outcome_class" }, { name: "outcome" }]) {
      expect(() => featuresNamed(["centre", name])).toThrow(RangeError);
      expect(() => featuresNamed(["centre", name])).toThrow(`got "${name}", known after it`);
    }
  });
  test("refuses other names with the choice, and the same name twice", () => {
    expect(() => featuresNamed(["latitude"])).toThrow(
      /^Cannot use feature: it must be one of centre, spread/,
    );
    expect(() => featuresNamed(["centre", "centre"])).toThrow(/each may stand once/);
  });
  test("every feature comes from fields known before the dig", () => {
    const fields = [...FIELDS.signal, ...FIELDS.outing];
    for (const feature of FEATURES) {
      for (const name of feature.fields) {
        expect([feature.name, name, fields.find((field) => field.name === name)?.known]).toEqual([
          feature.name,
          name,
          "before",
        ]);
      }
    }
  });
  test("reading features leave out what is the person's or the site's", () => {
    expect(READING_FEATURES).not.toContain("ownCall");
    expect(READING_FEATURES).not.toContain("aboveSiteIron");
    expect(READING_FEATURES).toContain("centre");
  });
});

describe("FEATURES", () => {
  test("tell a number from silence, too few passes and what nobody logged", () => {
    expect(cellOf("centre", { right: passesOf([300, 310]), left: passesOf([320]) })).toEqual({
      value: 310,
      why: 0,
    });
    expect(cellOf("centre", { right: passesOf([], 3), left: passesOf([], 2) })).toEqual({
      value: NaN,
      why: 1,
    });
    expect(cellOf("spread", { right: passesOf([300]), left: passesOf([310]) })).toEqual({
      value: NaN,
      why: 2,
    });
    expect(cellOf("turnChange", { cross: null })).toEqual({ value: NaN, why: 3 });
    expect(cellOf("ownCall", { my_call: null })).toEqual({ value: NaN, why: 3 });
  });
  test("depth is centimetres or a word, never one for the other", () => {
    expect(cellOf("indicatedDepthCm", { depth_indicated: 12 })).toEqual({ value: 12, why: 0 });
    expect(cellOf("indicatedDepthStep", { depth_indicated: 12 })).toEqual({ value: NaN, why: 3 });
    expect(cellOf("indicatedDepthStep", { depth_indicated: "deep" })).toEqual({ value: 2, why: 0 });
  });
  test("words are coded, and not tried or not looked is no answer", () => {
    expect(cellOf("afterTurn", { after_turn: "changes" })).toEqual({ value: 1, why: 0 });
    expect(cellOf("afterTurn", { after_turn: "not-tried" })).toEqual({ value: NaN, why: 3 });
    expect(cellOf("ironNear", { iron_near: "not-looked" })).toEqual({ value: NaN, why: 3 });
    expect(cellOf("bothWays", { both_ways: "no" })).toEqual({ value: 0, why: 0 });
    expect(cellOf("ownCall", { my_call: "cannot-say" })).toEqual({ value: 0.5, why: 0 });
  });
  test("best repeat looks at three passes each way, however long the person swept", () => {
    const long = cellOf("bestRepeat", {
      right: passesOf([300, 305, 310, 320, 320]),
      left: passesOf([300, 306, 311, 320]),
    });
    const short = cellOf("bestRepeat", { right: passesOf([300, 305, 310]), left: passesOf([300, 306, 311]) });
    expect(long.why).toBe(0);
    // 300 is the one reading met twice in the first three; the centre differs by the later passes.
    expect(long.value).toBe(300 - 310);
    expect(short.value).toBe(300 - 305.5);
    expect(firstPasses(passesOf([1, 2, 3, 4]), 3)!.readings).toEqual([1, 2, 3]);
    expect(firstPasses(null, 3)).toBeNull();
  });
});
