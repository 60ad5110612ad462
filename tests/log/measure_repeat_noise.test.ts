import { expect, test } from "vitest";
import { isPresent } from "../../lib/numbers/mod.ts";
import { loadDigLog, measureRepeatNoise } from "../../lib/log/mod.ts";
import { file, machines, oneMachine } from "./_helpers.ts";

const HEAD = "signal_id,site,readings_right,readings_left,iron_near,metal,keep,readings_alone\n";
const season = async (rows: string[]) =>
  (await loadDigLog(file(HEAD + rows.join("\n") + "\n"), oneMachine)).season;

test("measureRepeatNoise() pools the finds read alone: variance within cells, n - 1", async () => {
  // Each cell 400 402 404 has a sum of squares of 8 on 2 degrees of freedom: spread 2, by hand.
  const rows = Array.from({ length: 5 }, (_, i) => `${i},a,100 500,100 500,full,non-ferrous,yes,400 402 404`);
  const [noise] = measureRepeatNoise(await season(rows));
  if (noise === undefined || !isPresent(noise.spread)) throw new Error("absent");
  expect(noise.spread.value).toBeCloseTo(2, 12);
  expect(noise.spread.n).toEqual({ cells: 5, degreesOfFreedom: 10 });
  expect(noise.limit).toBeCloseTo(5.6, 12);
  expect(noise.basis).toBe("finds read alone and check pieces");
  // Chi-square quantiles with 10 df: 3.24697 and 20.48318 (NIST/SEMATECH e-Handbook 1.3.6.7.4); the approximation is
  // good to about 1 % there, half of that in its root.
  expect(Math.abs(noise.spread.interval.low / (2 * Math.sqrt(10 / 20.48318)) - 1)).toBeLessThan(0.01);
  expect(Math.abs(noise.spread.interval.high / (2 * Math.sqrt(10 / 3.24697)) - 1)).toBeLessThan(0.01);
});

test("measureRepeatNoise() goes on to signals without iron, then to all, and says so", async () => {
  const clean = Array.from({ length: 10 }, (_, i) => `${i},a,400 402,,none,,,`);
  const dirty = Array.from({ length: 10 }, (_, i) => `d${i},a,100 300,,full,,,`);
  const [first] = measureRepeatNoise(await season([...clean, ...dirty]));
  expect(first?.basis).toBe("signals with no iron near");
  expect(first?.limit).toBeCloseTo(2.8 * Math.SQRT2, 12);
  const [second] = measureRepeatNoise(await season(dirty));
  expect(second?.basis).toBe("all signals");
});

test("measureRepeatNoise() is absent with its reason where repeats are too few, and falls back on one step", async () => {
  const some = await season(["1,a,400,400,none,,,", "2,a,400-420,~400 410,none,,,"]);
  const noise = measureRepeatNoise({ ...some, machines: machines.machines });
  expect(noise.map((each) => each.limit)).toEqual([1, 5]);
  expect(noise[0]?.spread).toEqual({
    absent: "too few",
    reason: "Fewer than 10 repeats beyond the first of each cell",
    n: { cells: 0, degreesOfFreedom: 0 },
  });
});

test("measureRepeatNoise() never goes below one step of the scale", async () => {
  const [noise] = measureRepeatNoise(
    await season(Array.from({ length: 12 }, (_, i) => `${i},a,400 400,,none,,,`)),
  );
  expect(noise?.limit).toBe(1);
});
