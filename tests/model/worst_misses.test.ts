import { describe, expect, test } from "vitest";
import { dugAndPassed } from "../../lib/model/dug_and_passed.ts";
import { learningTables, signalTables } from "../../lib/model/season_tables.ts";
import { studyTable } from "../../lib/model/study_table.ts";
import { worstMisses } from "../../lib/model/worst_misses.ts";
import { isPresent } from "../../lib/numbers/mod.ts";
import { madeSeason } from "./_season.ts";

describe("worstMisses()", () => {
  test("lists what was held least likely, worst first, with the readings as written", async () => {
    const study = await studyTable(learningTables(madeSeason({ signals: 200 }))[0]!, {
      seed: 1,
      askSecondOpinion: false,
    });
    const misses = worstMisses(study, "forest", { most: 10 });
    expect(misses.length).toBeGreaterThan(1);
    const chances = misses.map((miss) => miss.chance);
    expect([...chances].sort((a, b) => a - b)).toEqual(chances);
    for (const miss of misses) {
      expect(miss.called).not.toBe(miss.outcome);
      const signal = study.table.signals.find((each) => each.signal_id === miss.signal)!;
      expect(miss.readings).toEqual([
        signal.right!.written,
        signal.left!.written,
        signal.cross?.written ?? "not logged",
      ]);
      expect(signal.outcome.class).toBe(miss.outcome);
    }
    expect(() => worstMisses(study, "oracle")).toThrow('the engine must have predictions, got "oracle"');
  });
  test("tells ferrous from worth a hole only, where the counts carry no more", async () => {
    const season = madeSeason({ signals: 200, sites: 8, shares: [0.6, 0.34, 0.06] });
    const study = await studyTable(learningTables(season)[0]!, { seed: 1, askSecondOpinion: false });
    expect(study.allowance.classes).toBe("two");
    for (const { outcome, chance } of worstMisses(study, "logistic")) {
      expect(["ferrous", "worth a hole"]).toContain(outcome);
      expect(chance).toBeLessThan(0.5);
    }
  });
});

describe("dugAndPassed()", () => {
  test("finds a choice that was made on the centre, and none where there was none", () => {
    const season = madeSeason({ signals: 300 });
    const chosen = {
      ...season,
      signals: season.signals.map((signal) => ({
        ...signal,
        dug: (signal.right?.readings[0] ?? 0) > 230 ? "yes" as const : "no" as const,
      })),
    };
    const [centre] = dugAndPassed(signalTables(chosen)[0]!, ["centre"]);
    if (!centre || !isPresent(centre.dugHigher)) throw new Error("absent");
    expect(centre.dugHigher.interval.low).toBeGreaterThan(0.8);
    const [fair] = dugAndPassed(signalTables(season)[0]!, ["centre"]);
    if (!fair || !isPresent(fair.dugHigher)) throw new Error("absent");
    expect(fair.dugHigher.interval.low).toBeLessThan(0.5);
    expect(fair.dugHigher.interval.high).toBeGreaterThan(0.5);
    expect(() => dugAndPassed(signalTables(season)[0]!, ["depth"])).toThrow(
      /^Cannot compare dug and passed: feature must be one of/,
    );
  });
});
