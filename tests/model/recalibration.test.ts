import { describe, expect, test } from "vitest";
import { correctChances } from "../../lib/model/correct_chances.ts";
import { LEAST_FOR_ISOTONIC, recalibration } from "../../lib/model/recalibration.ts";
import { chance, isPresent, studentQuantile } from "../../lib/numbers/mod.ts";

/** Outcomes drawn from true chances; the chances given are those raised to a power and scaled. */
function made(n: number, power: number) {
  const stream = chance(4, "tests/recalibration");
  const p = new Float64Array(3 * n), outcome = new Uint8Array(n);
  for (let i = 0; i < n; i++) {
    const parts = [0, 1, 2].map(() => 0.05 + (-Math.log(1 - stream.next())) ** 2);
    const sum = parts[0]! + parts[1]! + parts[2]!, at = stream.next() * sum;
    outcome[i] = at < parts[0]! ? 0 : at < parts[0]! + parts[1]! ? 1 : 2;
    const given = parts.map((part) => part ** power), all = given[0]! + given[1]! + given[2]!;
    given.forEach((each, k) => p[3 * i + k] = each / all);
  }
  return { p, outcome, fold: Int32Array.from({ length: n }, (_, i) => i % 10) };
}

describe("recalibration()", () => {
  test("finds the temperature that was put in, and lowers the log loss on held-out rows", () => {
    // Given p = true^2.5, scaled: the best power is 1 / 2.5, the temperature 2.5.
    const { p, outcome, fold } = made(560, 2.5);
    const { method, temperature, change, helps } = recalibration(p, outcome, { fold, group: fold });
    expect(method).toBe("temperature");
    if (!isPresent(temperature) || !isPresent(change)) throw new Error("absent");
    expect(temperature.interval.low).toBeLessThan(2.5);
    expect(temperature.interval.high).toBeGreaterThan(2.5);
    expect(temperature.interval.low).toBeGreaterThan(1);
    expect(change.interval.high).toBeLessThan(0);
    expect(helps).toBe(true);
  });
  test("the temperature is where the slope of the log loss is nought: checked by steps to both sides", () => {
    const { p, outcome, fold } = made(300, 0.6);
    const { temperature } = recalibration(p, outcome, { fold, group: fold });
    if (!isPresent(temperature)) throw new Error("absent");
    const loss = (power: number) =>
      outcome.reduce((sum, code, i) => {
        const row = [0, 1, 2].map((k) => p[3 * i + k]! ** power);
        return sum - Math.log(row[code]! / (row[0]! + row[1]! + row[2]!));
      }, 0);
    const best = 1 / temperature.value;
    expect(loss(best)).toBeLessThan(loss(best * 1.001));
    expect(loss(best)).toBeLessThan(loss(best * 0.999));
  });
  test("true chances are left as they are: nothing to gain beyond chance", () => {
    const { p, outcome, fold } = made(500, 1);
    const { change } = recalibration(p, outcome, { fold, group: fold });
    if (!isPresent(change)) throw new Error("absent");
    expect(Math.abs(change.value)).toBeLessThan(0.01);
    expect(change.interval.high).toBeGreaterThan(-0.001);
  });
  test("with 200 of the rarest a rising curve is fitted: rows sum to 1, none is nought, overbold chances get better", () => {
    const { p, outcome, fold } = made(900, 3);
    const counts = [0, 1, 2].map((k) => outcome.filter((code) => code === k).length);
    expect(Math.min(...counts)).toBeGreaterThanOrEqual(LEAST_FOR_ISOTONIC);
    const found = recalibration(p, outcome, { fold, group: fold });
    expect(found.method).toBe("isotonic");
    expect(found.helps).toBe(true);
    expect(found.temperature).toMatchObject({ absent: "curve" });
    for (let i = 0; i < 900; i++) {
      const row = found.probabilities.subarray(3 * i, 3 * i + 3);
      expect(row[0]! + row[1]! + row[2]!).toBeCloseTo(1, 12);
      expect(Math.min(...row)).toBeGreaterThan(0);
    }
  });
  test("a row has no part in its own correction", () => {
    const { p, outcome, fold } = made(120, 2);
    const other = outcome.slice();
    outcome.forEach((code, i) => fold[i] === 3 ? other[i] = (code + 1) % 3 : 0);
    const before = recalibration(p, outcome, { fold, group: fold }).probabilities;
    const after = recalibration(p, other, { fold, group: fold }).probabilities;
    const rows = [...fold.keys()].filter((i) => fold[i] === 3);
    for (const i of rows) expect(after.subarray(3 * i, 3 * i + 3)).toEqual(before.subarray(3 * i, 3 * i + 3));
    expect(after).not.toEqual(before);
  });
  test("one fold: nothing is corrected, numbers are absent with a reason; bad input is refused", () => {
    const { p, outcome } = made(30, 2);
    const fold = new Int32Array(30);
    const found = recalibration(p, outcome, { fold, group: fold });
    expect(found.probabilities).toEqual(p);
    expect(found).toMatchObject({
      helps: false,
      temperature: { absent: "one fold" },
      change: { absent: "one site" },
    });
    expect(() => recalibration(p, outcome, { fold: fold.subarray(1), group: fold })).toThrow(
      /^Cannot recalibrate: need 3 probabilities/,
    );
    expect(() => recalibration(p.fill(0, 0, 1), outcome, { fold, group: fold })).toThrow(
      "Cannot recalibrate: probabilities must be above 0 and at most 1, got 0 in row 0",
    );
  });
});

describe("the chances to use", () => {
  test("chances far too sure are corrected in every fold, and in a model learnt from all rows by one correction", () => {
    const { p, outcome, fold } = made(560, 2.5);
    const found = recalibration(p, outcome, { fold, group: fold });
    expect(found).toMatchObject({ helps: true, folds: 10, foldsCorrected: 10, usedChange: found.change });
    expect(found.used).toEqual(found.probabilities);
    if (found.correction?.method !== "temperature" || !isPresent(found.temperature)) throw new Error("none");
    expect(found.correction.temperature).toBe(found.temperature.value);
  });
  test("true chances are used as they are, though a correction may lower the loss a little by chance", () => {
    let lower = 0, plain = 0;
    for (const n of [300, 350, 400, 450, 500, 550]) {
      const { p, outcome, fold } = made(n, 1);
      const found = recalibration(p, outcome, { fold, group: fold });
      if (!isPresent(found.change)) throw new Error("absent");
      if (found.change.value < 0) lower++;
      // Student's t with 9 degrees of freedom: half the 95 % interval, brought down to the 68 % of one standard error.
      const half = (found.change.interval.high - found.change.value) * studentQuantile(0.84135, 9) /
        studentQuantile(0.975, 9);
      expect(found.helps).toBe(found.change.value + half < 0);
      expect(found.correction === null).toBe(!found.helps);
      if (!found.helps) plain++;
    }
    expect(lower).toBeGreaterThan(0);
    expect(plain).toBeGreaterThan(3);
  });
  test("what a fold holds has no say in whether its own chances are corrected", () => {
    // Barely too sure: some folds are corrected, others not, so that a say of their own would show.
    const { p, outcome, fold } = made(200, 1.15);
    const corrected = (codes: Uint8Array, id: number) => {
      const { used } = recalibration(p, codes, { fold, group: fold });
      const rows = [...fold.keys()].filter((i) => fold[i] === id);
      return rows.flatMap((i) => [...used.subarray(3 * i, 3 * i + 3)]);
    };
    const counts = recalibration(p, outcome, { fold, group: fold });
    expect(counts.foldsCorrected).toBeGreaterThan(0);
    expect(counts.foldsCorrected).toBeLessThan(10);
    for (let id = 0; id < 10; id++) {
      const other = outcome.map((code, i) => fold[i] === id ? (code + 1) % 3 : code);
      expect(corrected(other, id)).toEqual(corrected(outcome, id));
    }
  });
  test("with two classes the goods are shared out as before, and ferrous against goods is corrected as if goods were one", () => {
    const { p, outcome, fold } = made(400, 2.2);
    const two = recalibration(p, outcome, { fold, group: fold, classes: 2 });
    for (let i = 0; i < outcome.length; i++) {
      const share = (from: Float64Array) => from[3 * i + 1]! / (from[3 * i + 1]! + from[3 * i + 2]!);
      expect(share(two.probabilities)).toBeCloseTo(share(p), 12);
    }
    // The same with all goods in one column, the other as good as empty.
    const merged = Float64Array.from(
      p,
      (_, at) => at % 3 === 0 ? p[at]! : at % 3 === 1 ? p[at]! + p[at + 1]! : 1e-15,
    );
    const alone = recalibration(merged, outcome.map((code) => Math.min(code, 1)), {
      fold,
      group: fold,
      classes: 2,
    });
    expect(alone.temperature).toMatchObject({
      value: expect.closeTo((two.temperature as { value: number }).value, 9),
    });
    alone.probabilities.forEach((chance, at) =>
      at % 3 === 0 && expect(chance).toBeCloseTo(two.probabilities[at]!, 9)
    );
  });
  test("one fold or one site: nothing can be chosen, and nothing is", () => {
    const { p, outcome, fold } = made(90, 3);
    const one = recalibration(p, outcome, { fold: new Int32Array(90), group: fold });
    expect(one).toMatchObject({ helps: false, correction: null, foldsCorrected: 0 });
    expect(one.used).toEqual(p);
    const site = recalibration(p, outcome, { fold, group: new Int32Array(90) });
    expect(site).toMatchObject({ helps: false, correction: null, foldsCorrected: 0 });
    expect(site.used).toEqual(p);
  });
});

describe("correctChances()", () => {
  test("gives what recalibration() gave: each fold by the correction of the others", () => {
    for (const n of [300, 900]) {
      const { p, outcome, fold } = made(n, 3);
      const rest = [...fold.keys()].filter((i) => fold[i] !== 4),
        own = [...fold.keys()].filter((i) => fold[i] === 4);
      const part = (rows: number[]) =>
        Float64Array.from(rows.flatMap((i) => [...p.subarray(3 * i, 3 * i + 3)]));
      // Learnt from the other folds alone, with all of them as one log of their own.
      const others = recalibration(part(rest), Uint8Array.from(rest, (i) => outcome[i]!), {
        fold: Int32Array.from(rest, (i) => fold[i]!),
        group: Int32Array.from(rest, (i) => fold[i]!),
      });
      const all = recalibration(p, outcome, { fold, group: fold });
      expect(others.method).toBe(all.method);
      const corrected = correctChances(part(own), others.correction!);
      own.forEach((i, at) =>
        expect([...corrected.subarray(3 * at, 3 * at + 3)]).toEqual([
          ...all.probabilities.subarray(3 * i, 3 * i + 3),
        ])
      );
    }
  });
  test("a temperature of 1 changes nothing but the last digit; a row that every curve puts at nought stays", () => {
    const p = Float64Array.of(0.7, 0.2, 0.1);
    correctChances(p, { version: 1, method: "temperature", classes: 3, temperature: 1 }).forEach((
      chance,
      at,
    ) => expect(chance).toBeCloseTo(p[at]!, 15));
    const flat = { at: [0.5], share: [0] };
    expect(
      correctChances(p, {
        version: 1,
        method: "isotonic",
        classes: 3,
        learntFrom: 9,
        curves: [flat, flat, flat],
      }),
    )
      .toEqual(p);
  });
});

/** Chances and outcomes by whole-number rules, so that any program can make the same: see the numbers below. */
function ruled(n: number) {
  const p = new Float64Array(3 * n), outcome = new Uint8Array(n);
  for (let i = 0; i < n; i++) {
    const weights = [i * 37 % 101 + 1, i * 53 % 97 + 1, i * 71 % 89 + 1], roots = weights.map(Math.sqrt);
    const sum = weights[0]! + weights[1]! + weights[2]!, all = roots[0]! + roots[1]! + roots[2]!;
    const at = i * 811 % 1009 / 1009;
    outcome[i] = at < roots[0]! / all ? 0 : at < (roots[0]! + roots[1]!) / all ? 1 : 2;
    weights.forEach((weight, k) => p[3 * i + k] = weight / sum);
  }
  return { p, outcome, fold: Int32Array.from({ length: n }, (_, i) => i % 4) };
}

describe("recalibration() against other programs", () => {
  test("temperature: scipy 1.10.1, minimize_scalar(method='bounded', xatol=1e-12) of the log loss of p^b", () => {
    const { p, outcome, fold } = ruled(240);
    const { temperature } = recalibration(p, outcome, { fold, group: fold });
    if (!isPresent(temperature)) throw new Error("absent");
    // That search knows b to about 1e-8.
    expect(temperature.value).toBeCloseTo(2.24222973, 6);
  });
  test("rising curves: scikit-learn 1.2.1, IsotonicRegression(out_of_bounds='clip') an outcome, scaled, (m p + 1) / (m + 3)", () => {
    const { p, outcome, fold } = ruled(1000);
    const { method, probabilities, after } = recalibration(p, outcome, { fold, group: fold });
    expect(method).toBe("isotonic");
    const rows: readonly [number, readonly number[]][] = [
      [0, [0.3026681379, 0.3527246357, 0.3446072263]],
      [1, [0.2781465865, 0.3617410461, 0.3601123674]],
      [500, [0.1912714656, 0.2256987149, 0.5830298195]],
      [999, [0.3625880093, 0.321535738, 0.3158762527]],
    ];
    for (const [i, row] of rows) {
      row.forEach((each, k) => expect(probabilities[3 * i + k]).toBeCloseTo(each, 9));
    }
    if (!isPresent(after)) throw new Error("absent");
    expect(after.value).toBeCloseTo(1.052916967909283, 10);
  });
});
