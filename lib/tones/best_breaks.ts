/** Options of `bestBreaks`. */
export interface BestBreaksOptions {
  /** Most bands allowed, 1 or above. Default 2. */
  readonly mostBands?: number;
  /** What a good target in a band that is left costs. Default 1. */
  readonly goodMissed?: number;
  /** What iron in a band that is dug costs. Default 1. */
  readonly ironDug?: number;
  /** Scale of the machine: breaks are put on its steps where a step lies between the readings. Default: half-way. */
  readonly scale?: { readonly low: number; readonly high: number; readonly step: number };
}

/** Breaks that no others beat, for the readings they were chosen on. */
export interface BestBreaks {
  /** Ascending; a reading on a break belongs to the upper band. One fewer than bands. */
  readonly breaks: readonly number[];
  /** For each band from the lowest: dug (true) or left. Neighbouring bands always differ. */
  readonly digs: readonly boolean[];
  /** Sum of the costs of all readings. */
  readonly cost: number;
  /** Lowest cost with at most 1, 2, ... bands: falls, then stays level where more bands bring nothing. */
  readonly costByBands: readonly number[];
  readonly good: number;
  readonly iron: number;
  /** Why there are fewer bands than allowed, or null. */
  readonly note: string | null;
}

/** Distinct readings in order, with the good and the iron at each. */
interface Distinct {
  readonly at: Float64Array;
  readonly good: Float64Array;
  readonly iron: Float64Array;
}

/**
 * Finds the tone breaks that separate good targets from iron at the lowest cost, exactly.
 *
 * Each band is either dug or left; a good reading in a band that is left costs `goodMissed`, an iron reading in a band that
 * is dug costs `ironDug`. Bands of one verdict side by side are one band, so the answer may have fewer bands than allowed:
 * `note` then says that more bring nothing. Of equally cheap answers, one with fewest bands is given. Dynamic programming
 * over the sorted distinct readings with the number of bands and the verdict as state (Bellman 1957, Dynamic Programming):
 * time grows with readings times bands. The breaks are the best for these readings only: they flatter themselves, and must
 * be tried on others (`betterBreaks`).
 *
 * Throws RangeError for a reading that is not finite, no readings, `mostBands` below 1 or a cost that is not above 0.
 *
 * @example
 * ```ts
 * import { bestBreaks } from "overiron";
 * const found = bestBreaks([300, 320, 350], [90, 100, 310], { scale: { low: 0, high: 600, step: 1 } });
 * if (found.breaks.join() !== "200" || found.cost !== 1) throw new Error(JSON.stringify(found));
 * ```
 */
export function bestBreaks(
  good: ArrayLike<number>,
  iron: ArrayLike<number>,
  options: BestBreaksOptions = {},
): BestBreaks {
  const { mostBands = 2, goodMissed = 1, ironDug = 1, scale } = options;
  if (!(Number.isSafeInteger(mostBands) && mostBands >= 1)) {
    throw new RangeError(
      `Cannot find breaks: mostBands must be a whole number of 1 or above, got ${mostBands}`,
    );
  }
  for (const [name, cost] of [["goodMissed", goodMissed], ["ironDug", ironDug]] as const) {
    if (!(Number.isFinite(cost) && cost > 0)) {
      throw new RangeError(`Cannot find breaks: ${name} must be above 0, got ${cost}`);
    }
  }
  const distinct = distinctReadings(good, iron);
  const m = distinct.at.length;
  if (m === 0) throw new RangeError("Cannot find breaks: need a reading, got none");
  const k = Math.min(mostBands, m);
  // State 2 j + v: j + 1 bands so far, the last one left (v = 0) or dug (v = 1). `turned` marks a new band at reading i.
  let costs = new Float64Array(2 * k).fill(Infinity), next = new Float64Array(2 * k);
  costs[0] = 0;
  costs[1] = 0;
  const turned = new Uint8Array(m * 2 * k);
  for (let i = 0; i < m; i++) {
    const left = distinct.good[i]! * goodMissed, dug = distinct.iron[i]! * ironDug;
    for (let state = 0; state < 2 * k; state++) {
      const stay = costs[state]!;
      // From the other verdict with one band fewer; the first reading starts the first band.
      const turn = i === 0 || state < 2 ? Infinity : costs[(state ^ 1) - 2]!;
      next[state] = Math.min(stay, turn) + (state & 1 ? dug : left);
      if (turn < stay) turned[i * 2 * k + state] = 1;
    }
    [costs, next] = [next, costs];
  }
  let bestState = 0;
  const costByBands: number[] = [];
  for (let state = 0; state < 2 * k; state++) {
    if (costs[state]! < costs[bestState]!) bestState = state;
    if (state % 2 === 1) costByBands.push(costs[bestState]!);
  }
  const breaks: number[] = [];
  let state = bestState;
  for (let i = m - 1; i > 0; i--) {
    if (turned[i * 2 * k + state] === 0) continue;
    breaks.unshift(breakBetween(distinct.at[i - 1]!, distinct.at[i]!, scale));
    state = (state ^ 1) - 2;
  }
  const bands = breaks.length + 1;
  return {
    breaks,
    digs: Array.from(
      { length: bands },
      (_, band) => ((bands - 1 - band) % 2 === 0) === ((bestState & 1) === 1),
    ),
    cost: costs[bestState]!,
    costByBands: [...costByBands, ...Array.from({ length: mostBands - k }, () => costs[bestState]!)],
    good: good.length,
    iron: iron.length,
    note: bands < mostBands
      ? `No more than ${bands} ${bands === 1 ? "band brings" : "bands bring"} anything at these costs`
      : null,
  };
}

function distinctReadings(good: ArrayLike<number>, iron: ArrayLike<number>): Distinct {
  const [goods, irons] = [Float64Array.from(good).sort(), Float64Array.from(iron).sort()];
  for (const sorted of [goods, irons]) {
    const bad = sorted.find((reading) => !Number.isFinite(reading));
    if (bad !== undefined) {
      throw new RangeError(`Cannot find breaks: readings must be finite numbers, got ${bad}`);
    }
  }
  const most = goods.length + irons.length;
  const at = new Float64Array(most), g = new Float64Array(most), r = new Float64Array(most);
  let m = -1;
  for (let i = 0, j = 0; i < goods.length || j < irons.length;) {
    const fromGood = j >= irons.length || (i < goods.length && goods[i]! <= irons[j]!);
    const reading = fromGood ? goods[i]! : irons[j]!;
    if (m < 0 || at[m]! !== reading) at[++m] = reading;
    if (fromGood) {
      g[m]!++;
      i++;
    } else {
      r[m]!++;
      j++;
    }
  }
  return { at: at.subarray(0, m + 1), good: g.subarray(0, m + 1), iron: r.subarray(0, m + 1) };
}

/** A break that parts the two readings: on a step of the scale near the middle where one lies between, else half-way. */
function breakBetween(lower: number, upper: number, scale: BestBreaksOptions["scale"]): number {
  const middle = (lower + upper) / 2;
  if (!scale) return middle > lower ? middle : upper;
  const onStep = scale.low + Math.ceil((middle - scale.low) / scale.step - 1e-9) * scale.step;
  return onStep > lower && onStep <= upper ? onStep : upper;
}
