import { describe, expect, test } from "vitest";
import { learningTables } from "../../lib/model/season_tables.ts";
import { longerSwept, passesOfSignal } from "../../lib/model/longer_swept.ts";
import { isPresent } from "../../lib/numbers/mod.ts";
import { madeSeason, passesOf } from "./_season.ts";

const table = learningTables(madeSeason({ signals: 600, sites: 10 }))[0]!;
const asked = ["centre", "spread", "asymmetry", "turnChange", "dropout", "bestRepeat"];

describe("longerSwept()", () => {
  test("features of a season swept by lot do not grow with the passes: a corrected spread, an asymmetry of pairs of passes", () => {
    for (const { feature, longerHigher } of longerSwept(table, asked)) {
      if (!isPresent(longerHigher)) throw new Error(`${feature}: ${longerHigher.reason}`);
      // 99.9 % intervals for six features: a false alarm in 170 such tests.
      const [same] = longerSwept(table, [feature], { level: 0.999 });
      if (!isPresent(same!.longerHigher)) throw new Error("absent");
      expect(same!.longerHigher.interval.low).toBeLessThan(0.5);
      expect(same!.longerHigher.interval.high).toBeGreaterThan(0.5);
      expect(longerHigher.n["swept longer"]! + longerHigher.n["others"]!).toBeLessThanOrEqual(
        table.outcome.filter((code) => code === 0).length,
      );
    }
  });
  test("finds a feature that does grow: the number of passes itself", () => {
    const columns = [...table.x.columns];
    columns[table.x.names.indexOf("centre")] = Float64Array.from(table.signals, passesOfSignal);
    const grown = { ...table, x: { ...table.x, columns } };
    const [centre] = longerSwept(grown, ["centre"]);
    expect(centre!.longerHigher).toMatchObject({ value: 1 });
  });
  test("counts silent passes, leaves out summaries that do not say, and refuses what is not there", () => {
    expect(passesOfSignal({ right: passesOf([300, 310], 2), left: passesOf([305]) })).toBe(5);
    expect(passesOfSignal({ right: { ...passesOf([300]), passes: null }, left: null })).toBeNaN();
    const alike = {
      ...table,
      signals: table.signals.map((each) => ({ ...each, right: passesOf([300]), left: null })),
    };
    expect(longerSwept(alike, ["centre"])[0]!.longerHigher).toMatchObject({ absent: "swept alike" });
    expect(() => longerSwept(table, ["colour"])).toThrow(
      /^Cannot tell growth with passes: feature must be one of/,
    );
  });
});
