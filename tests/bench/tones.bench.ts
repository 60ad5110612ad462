// Exact break search. 100,000 readings of two kinds and up to five bands are asked for under 0.2 s; at the end, how time grows with readings and with bands.
import process from "node:process";
import { chance } from "../../lib/numbers/mod.ts";
import { bestBreaks } from "../../lib/tones/mod.ts";

/** Readings to three decimals, nearly all distinct: iron about 150, good about 350, both wide. */
function readings(count: number): { good: Float64Array; iron: Float64Array } {
  const draw = chance(1, "bench/tones", 0);
  const around = (middle: number) =>
    Float64Array.from({ length: count / 2 }, () => Math.round(1000 * (middle + 90 * draw.normal())) / 1000);
  return { good: around(350), iron: around(150) };
}

const large = readings(100_000);
Deno.bench("best breaks of 100,000 readings, 5 bands", { group: "breaks", n: 10, warmup: 2 }, () => {
  bestBreaks(large.good, large.iron, { mostBands: 5, goodMissed: 4 });
});
Deno.bench("sorting the same readings alone", { group: "breaks", baseline: true, n: 10, warmup: 2 }, () => {
  Float64Array.from(large.good).sort();
  Float64Array.from(large.iron).sort();
});

/** Milliseconds of this process's own time, the least of five. */
function least(count: number, mostBands: number): number {
  const { good, iron } = readings(count);
  let best = Infinity;
  for (let i = 0; i < 5; i++) {
    const start = process.cpuUsage();
    bestBreaks(good, iron, { mostBands, goodMissed: 4 });
    const { user, system } = process.cpuUsage(start);
    best = Math.min(best, (user + system) / 1000);
  }
  return best;
}
least(10_000, 5);
const byReadings = [25_000, 50_000, 100_000, 200_000].map((count) => ({ count, ms: least(count, 5) }));
const byBands = [2, 5, 10, 20].map((bands) => ({ bands, ms: least(100_000, bands) }));
console.log(byReadings.map(({ count, ms }) => `${count} readings, 5 bands: ${ms.toFixed(0)} ms`).join("; "));
console.log(
  byBands.map(({ bands, ms }) => `100000 readings, ${bands} bands: ${ms.toFixed(0)} ms`).join("; "),
);
const slope = (pairs: readonly (readonly [number, number])[]): string => {
  const [first, last] = [pairs[0]!, pairs.at(-1)!];
  return (Math.log(last[1] / first[1]) / Math.log(last[0] / first[0])).toFixed(2);
};
console.log(
  `time grows as readings to the power ${slope(byReadings.map(({ count, ms }) => [count, ms] as const))}, ` +
    `as bands to the power ${slope(byBands.map(({ bands, ms }) => [bands, ms] as const))}`,
);
const asked = byReadings.find(({ count }) => count === 100_000)!.ms;
if (asked >= 200) throw new RangeError(`Cannot keep the promise: need under 200 ms, got ${asked.toFixed(0)}`);
