import { describe, expect, test } from "vitest";
import { isPresent } from "../../lib/numbers/mod.ts";
import { recommendEngine } from "../../lib/model/recommend_engine.ts";
import { scoreEngine } from "../../lib/model/score_engine.ts";

const n = 40, site = Int32Array.from({ length: n }, (_, i) => i % 8);
const outcome = Uint8Array.from({ length: n }, (_, i) => i % 2);

/** An engine that gives what came out the probability p(i). */
function engine(name: string, p: (i: number) => number) {
  const probabilities = Float64Array.from(outcome).fill(0);
  const all = new Float64Array(3 * n);
  probabilities.forEach((_, i) => {
    all[3 * i + outcome[i]!] = p(i);
    all[3 * i + 1 - outcome[i]!] = (1 - p(i)) * 0.9;
    all[3 * i + 2] = (1 - p(i)) * 0.1;
  });
  return scoreEngine(name, { outcome, probabilities: all, site });
}

describe("recommendEngine()", () => {
  test("takes the simplest engine whose difference to the best could be nothing", () => {
    const found = recommendEngine([
      engine("plain", () => 0.5),
      engine("simple", (i) => i % 2 === 0 ? 0.75 : 0.85),
      engine("best", (i) => i % 2 === 0 ? 0.86 : 0.76),
    ], { site });
    expect([found.best, found.recommended]).toEqual(["best", "simple"]);
    expect(found.differences.map((each) => each.clearlyWorse)).toEqual([true, false, false]);
    expect(found.reason).toBe(
      "simple is the simplest engine that is not clearly worse than best, the one of lowest log loss",
    );
  });
  test("takes the best where every simpler one is clearly worse, and says so", () => {
    const found = recommendEngine([engine("plain", () => 0.5), engine("best", (i) => 0.8 + (i % 3) / 100)], {
      site,
    });
    expect(found.recommended).toBe("best");
    expect(found.reason).toMatch(/every simpler engine is clearly worse/);
    const { worseBy, aboveRecommended } = found.differences[0]!;
    if (!isPresent(worseBy)) throw new Error("absent");
    expect(worseBy).toEqual(aboveRecommended);
    expect(worseBy.interval.low).toBeGreaterThan(0);
    expect(found.differences[1]!.worseBy).toMatchObject({ n: { signals: n, sites: 8 } });
  });
  test("with one site nothing is clearly worse: the simplest stands", () => {
    const one = new Int32Array(n);
    const found = recommendEngine([engine("plain", () => 0.5), engine("best", () => 0.9)], { site: one });
    expect(found.recommended).toBe("plain");
  });
  test("refuses no engines and losses of another length", () => {
    expect(() => recommendEngine([], { site })).toThrow("Cannot recommend: need 1 engine or more, got 0");
    expect(() => recommendEngine([engine("a", () => 0.5)], { site: Int32Array.of(0) })).toThrow(
      /needs 1 losses/,
    );
  });
});
