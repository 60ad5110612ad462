import process from "node:process";
import { describe, expect, test } from "vitest";
import fc from "fast-check";
import { bestBreaks } from "../../lib/tones/best_breaks.ts";

/** The lowest cost over every set of up to bands - 1 breaks between distinct readings and every verdict for each band. */
function bruteForce(
  good: number[],
  iron: number[],
  bands: number,
  goodMissed: number,
  ironDug: number,
): number {
  const distinct = [...new Set([...good, ...iron])].sort((a, b) => a - b);
  let best = Infinity;
  const place = (from: number, starts: number[]): void => {
    let cost = 0;
    for (let band = 0; band <= starts.length; band++) {
      const low = band === 0 ? -Infinity : distinct[starts[band - 1]!]!;
      const high = band === starts.length ? Infinity : distinct[starts[band]!]!;
      const inside = (readings: number[]) =>
        readings.filter((reading) => reading >= low && reading < high).length;
      cost += Math.min(goodMissed * inside(good), ironDug * inside(iron));
    }
    best = Math.min(best, cost);
    if (starts.length === bands - 1) return;
    for (let i = Math.max(from, 1); i < distinct.length; i++) place(i + 1, [...starts, i]);
  };
  place(1, []);
  return best;
}

const costOf = (
  found: ReturnType<typeof bestBreaks>,
  good: number[],
  iron: number[],
  goodMissed: number,
  ironDug: number,
) => {
  const digs = (reading: number) => found.digs[found.breaks.filter((at) => at <= reading).length]!;
  return goodMissed * good.filter((reading) => !digs(reading)).length + ironDug * iron.filter(digs).length;
};

describe("bestBreaks()", () => {
  const readings = fc.array(fc.integer({ min: 0, max: 9 }), { maxLength: 9 });
  test("is as cheap as the best of all breaks and verdicts, and its breaks give that cost", () => {
    fc.assert(
      fc.property(
        readings,
        readings,
        fc.integer({ min: 1, max: 5 }),
        fc.constantFrom([1, 1], [4, 1], [1, 3]),
        (good, iron, bands, [a, b]) => {
          if (good.length + iron.length === 0) return;
          const options = { mostBands: bands, goodMissed: a!, ironDug: b! };
          const found = bestBreaks(good, iron, options);
          expect(found.cost).toBe(bruteForce(good, iron, bands, a!, b!));
          expect(costOf(found, good, iron, a!, b!)).toBe(found.cost);
          expect(found.breaks.length).toBeLessThan(bands);
          expect(found.digs.every((dig, i) => i === 0 || dig !== found.digs[i - 1])).toBe(true);
          expect(found.costByBands).toEqual(
            Array.from({ length: bands }, (_, j) => bruteForce(good, iron, j + 1, a!, b!)),
          );
          const scaled = bestBreaks(good, iron, { ...options, scale: { low: 0, high: 10, step: 2 } });
          expect(costOf(scaled, good, iron, a!, b!)).toBe(found.cost);
        },
      ),
      { seed: 1, numRuns: 400 },
    );
  });
  test("uses no more bands than bring something, and says so", () => {
    const found = bestBreaks([300, 310, 320], [100, 110], { mostBands: 7 });
    expect(found.breaks).toEqual([205]);
    expect(found.digs).toEqual([false, true]);
    expect(found.note).toBe("No more than 2 bands bring anything at these costs");
    expect(found.costByBands).toEqual([2, 0, 0, 0, 0, 0, 0]);
    expect(bestBreaks([100], [100], { mostBands: 3, goodMissed: 5 }).note).toBe(
      "No more than 1 band brings anything at these costs",
    );
    expect(bestBreaks([300], [100], { mostBands: 2 }).note).toBeNull();
  });
  test("finds the band of iron that reads high", () => {
    const found = bestBreaks([300, 310, 500, 510], [100, 110, 400, 405], {
      mostBands: 4,
      scale: { low: 0, high: 600, step: 1 },
    });
    expect(found.breaks).toEqual([205, 355, 453]);
    expect(found.digs).toEqual([false, true, false, true]);
    expect(found.cost).toBe(0);
  });
  test("puts a break on the scale's steps, or on the upper reading where no step lies between", () => {
    const scale = { low: -200, high: 200, step: 5 };
    expect(bestBreaks([-20], [-41], { scale }).breaks).toEqual([-30]);
    expect(bestBreaks([-42.5], [-43], { scale }).breaks).toEqual([-42.5]);
  });
  test("handles one reading, one kind only, and ties", () => {
    expect(bestBreaks([5], [])).toMatchObject({ breaks: [], digs: [true], cost: 0, good: 1, iron: 0 });
    expect(bestBreaks([], [5, 5])).toMatchObject({ breaks: [], digs: [false], cost: 0 });
    expect(bestBreaks([7, 7], [7, 7])).toMatchObject({ breaks: [], cost: 2 });
  });
  test("does not touch its input", () => {
    const good = Object.freeze([3, 1, 2]), iron = Object.freeze([2, 0]);
    bestBreaks(good, iron, { mostBands: 3 });
    expect(good).toEqual([3, 1, 2]);
  });
  test("grows in a straight line with the readings, and is quick", () => {
    // Time of this process alone, whatever else the computer does; least of three runs each. 100,000 readings must take less than 0.2 s, and ten times the readings less than 30 times the time
    // (sorting is n log n, and short runs are noisy).
    const run = (n: number) => {
      const good = Array.from({ length: n / 2 }, (_, i) => (i * 7919) % 100003 + 30000);
      const iron = Array.from({ length: n / 2 }, (_, i) => (i * 104729) % 90007);
      let best = Infinity;
      for (let i = 0; i < 3; i++) {
        const start = process.cpuUsage();
        bestBreaks(good, iron, { mostBands: 5 });
        const { user, system } = process.cpuUsage(start);
        best = Math.min(best, (user + system) / 1000);
      }
      return best;
    };
    run(2000);
    const [small, large] = [run(10_000), run(100_000)];
    expect(large).toBeLessThan(200);
    expect(large / small).toBeLessThan(30);
  });
  test("refuses what it cannot use", () => {
    expect(() => bestBreaks([], [])).toThrow(new RangeError("Cannot find breaks: need a reading, got none"));
    expect(() => bestBreaks([NaN], [1])).toThrow(
      new RangeError("Cannot find breaks: readings must be finite numbers, got NaN"),
    );
    expect(() => bestBreaks([1], [2], { mostBands: 0 })).toThrow(
      new RangeError("Cannot find breaks: mostBands must be a whole number of 1 or above, got 0"),
    );
    expect(() => bestBreaks([1], [2], { goodMissed: 0 })).toThrow(
      new RangeError("Cannot find breaks: goodMissed must be above 0, got 0"),
    );
  });
});
