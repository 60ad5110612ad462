import { describe, expect, test } from "vitest";
import { couldBeEither } from "../../lib/model/could_be_either.ts";
import { chance, conformalThreshold, isPresent } from "../../lib/numbers/mod.ts";

/** Signals whose chances are true: the outcome is drawn from the very probabilities given. */
function made(n: number, sites: number, seed: number) {
  const stream = chance(seed, "tests/could be either");
  const p = new Float64Array(3 * n), outcome = new Uint8Array(n);
  for (let i = 0; i < n; i++) {
    const parts = [0, 1, 2].map(() => (-Math.log(1 - stream.next())) ** 3);
    const sum = parts[0]! + parts[1]! + parts[2]!;
    parts.forEach((part, k) => p[3 * i + k] = part / sum);
    const at = stream.next();
    outcome[i] = at < p[3 * i]! ? 0 : at < p[3 * i]! + p[3 * i + 1]! ? 1 : 2;
  }
  return { p, outcome, group: Int32Array.from({ length: n }, (_, i) => i % sites) };
}

describe("couldBeEither()", () => {
  test("a worked set: the threshold is case ceil((n + 1) level) of the other sites, counted by hand", () => {
    // At each of two sites ten ferrous signals given 0.50, 0.55 ... 0.95, and ten others given 0.05 of being ferrous.
    const n = 40, group = Int32Array.from({ length: n }, (_, i) => i % 2);
    const outcome = Uint8Array.from({ length: n }, (_, i) => i < 20 ? 0 : 1);
    const p = new Float64Array(3 * n);
    for (let i = 0; i < n; i++) {
      const ferrous = i < 20 ? 0.5 + 0.05 * Math.floor(i / 2) : 0.05;
      p.set([ferrous, 1 - ferrous - 0.01, 0.01], 3 * i);
    }
    // Level 0.8: ceil(11 * 0.8) = 9th smallest of 1 - p = 0.05 ... 0.50, so 0.45: ferrous down to a chance of 0.55.
    const { sets, sizes, always } = couldBeEither(p, outcome, { group, level: 0.8 });
    const ferrousIn = Array.from(sets.subarray(0, 20), (set) => set & 1);
    expect(ferrousIn).toEqual([0, 0, ...Array<number>(18).fill(1)]);
    expect(Array.from(sets.subarray(20), (set) => set & 1)).toEqual(Array<number>(20).fill(0));
    expect(always).toEqual([{ name: "masked-good", cases: 0 }]);
    expect(sizes.flat().reduce((a, b) => a + b, 0)).toBe(n);
  });
  test("coverage averages the level or a little more, class by class (Vovk, Gammerman and Shafer 2005)", () => {
    const rates = [0, 0, 0];
    const runs = 20;
    for (let run = 0; run < runs; run++) {
      const { p, outcome, group } = made(300, 10, run);
      couldBeEither(p, outcome, { group, level: 0.9 }).coveredByClass.forEach((share, k) => {
        if (!isPresent(share)) throw new Error("absent");
        rates[k]! += share.value / runs;
      });
    }
    // Between the level and the level + 1 / (n + 1), n about 90 cases a class; the mean of 20 runs has a standard error near 0.007.
    for (const rate of rates) {
      expect(rate).toBeGreaterThan(0.9 - 0.02);
      expect(rate).toBeLessThan(0.911 + 0.02);
    }
  });
  test("a site has no part in its own calibration", () => {
    const { p, outcome, group } = made(200, 5, 3);
    const before = couldBeEither(p, outcome, { group });
    const changed = p.slice();
    // Make every chance of what came out at site 0 tiny: sets elsewhere may grow, but site 0 is judged by the others as before.
    const keep = [...outcome.keys()].filter((i) => group[i] === 0);
    const other = outcome.slice();
    for (const i of keep) other[i] = (outcome[i]! + 1) % 3;
    const after = couldBeEither(changed, other, { group });
    for (const i of keep) expect(after.sets[i]).toBe(before.sets[i]);
    expect([...after.sets].some((set, i) => set !== before.sets[i])).toBe(true);
  });
  test("the sets are those of conformalThreshold on the other sites' cases, at several levels", () => {
    const { p, outcome, group } = made(150, 7, 11);
    for (const level of [0.5, 0.8, 0.9, 0.95]) {
      const { sets } = couldBeEither(p, outcome, { group, level });
      for (let i = 0; i < 150; i++) {
        for (let k = 0; k < 3; k++) {
          const rows = [...outcome.keys()].filter((j) => outcome[j] === k && group[j] !== group[i]);
          const limit = conformalThreshold(rows.map((j) => 1 - p[3 * j + k]!), 1 - level);
          const within = !("value" in limit) || 1 - p[3 * i + k]! <= limit.value + 1e-12;
          expect(sets[i]! >> k & 1).toBe(within ? 1 : 0);
        }
      }
    }
  });
  test("a class with 8 cases at the other sites is in every set; with 9 it can be ruled out", () => {
    const { p, outcome, group } = made(240, 4, 5);
    const rows = (limit: number) => {
      let kept = 0;
      return [...outcome.keys()].filter((i) => outcome[i] !== 2 || (group[i] === 0 && kept++ < limit));
    };
    const asked = (limit: number) => {
      const at = rows(limit);
      return couldBeEither(
        Float64Array.from(at.flatMap((i) => [...p.subarray(3 * i, 3 * i + 3)])),
        Uint8Array.from(at, (i) => outcome[i]!),
        { group: Int32Array.from(at, (i) => group[i]!) },
      );
    };
    const eight = asked(8), nine = asked(9);
    expect([...eight.sets].every((set) => set >> 2 === 1)).toBe(true);
    expect([...nine.sets].some((set) => set >> 2 === 0)).toBe(true);
    // Site 0 itself has none elsewhere.
    expect(nine.always).toEqual([{ name: "masked-good", cases: 0 }]);
  });
  test("two classes: non-ferrous and masked good are one", () => {
    const { p, outcome, group } = made(120, 6, 8);
    const { classes, sets, coveredBySite } = couldBeEither(p, outcome, { group, classes: 2 });
    expect(classes).toEqual(["ferrous", "worth a hole"]);
    expect(Math.max(...sets)).toBeLessThanOrEqual(3);
    expect(coveredBySite.map(({ site }) => site)).toEqual([0, 1, 2, 3, 4, 5]);
  });
  test("refuses what does not fit", () => {
    const { p, outcome, group } = made(12, 2, 1);
    expect(() => couldBeEither(p, outcome, { group, level: 1 })).toThrow(
      "Cannot make sets: level must be above 0 and below 1, got 1",
    );
    expect(() => couldBeEither(p.subarray(3), outcome, { group })).toThrow(
      /^Cannot make sets: need 3 probabilities/,
    );
  });
});
