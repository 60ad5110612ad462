import { type Forest, growForest, type GrowForestOptions } from "./grow_forest.ts";
import type { ForestJob } from "./_forest_worker.ts";
import type { Tree } from "./_tree.ts";

/** Threads that grow forests together. */
export interface ForestWorkers {
  /** Threads at work, the calling one among them; 1 where no other could be started. */
  readonly count: number;
  /** {@link growForest} without out-of-bag scores, the trees shared out: the forest is the same whatever the count. */
  grow(
    columns: readonly Float64Array[],
    outcome: Uint8Array,
    options: GrowForestOptions & { readonly outOfBag: false },
  ): Promise<Forest>;
  /** Ends the other threads. A program does not end before they do. */
  end(): void;
}

/** Milliseconds a thread may take to start. */
const PATIENCE = 10_000;

function started(): Promise<Worker | null> {
  let worker: Worker;
  try {
    worker = new Worker(new URL("./_forest_worker.ts", import.meta.url), { type: "module" });
  } catch {
    return Promise.resolve(null);
  }
  return new Promise((resolve) => {
    const giveUp = (event?: Event): void => {
      event?.preventDefault();
      clearTimeout(timer);
      worker.terminate();
      resolve(null);
    };
    const timer = setTimeout(giveUp, PATIENCE);
    worker.onerror = giveUp;
    worker.onmessage = () => {
      clearTimeout(timer);
      resolve(worker);
    };
  });
}

function askFor(worker: Worker, job: ForestJob): Promise<readonly Tree[] | null> {
  return new Promise((resolve) => {
    worker.onerror = (event) => {
      event.preventDefault();
      resolve(null);
    };
    worker.onmessage = ({ data }) => resolve(data.trees ?? null);
    worker.postMessage(job);
  });
}

/**
 * Starts threads that grow forests together: `workers` of them in all, the calling one counted, so 2 starts one more.
 *
 * Each tree has its own stream of the seed, so the forest is that of `growForest`, bit for bit, for any number of threads. Where a thread
 * cannot be started, or fails, the calling one does its part. Starting takes about a tenth of a second a thread: it pays from some ten thousand
 * signals on, or where many forests follow; call `end` when done. Throws RangeError for a number of workers below 1 or above 64.
 *
 * @example
 * ```ts
 * import { growForest, startForestWorkers } from "overiron";
 * const x = [Float64Array.of(1, 2, 3, 7, 8, 9)], outcome = Uint8Array.of(0, 0, 0, 1, 1, 1);
 * const options = { seed: 1, trees: 8, outOfBag: false } as const;
 * const workers = await startForestWorkers({ workers: 2 });
 * const { trees } = await workers.grow(x, outcome, options);
 * workers.end();
 * const alone = growForest(x, outcome, options).trees;
 * if (JSON.stringify(trees) !== JSON.stringify(alone)) throw new Error("the forest differs");
 * ```
 */
export async function startForestWorkers(options: { readonly workers: number }): Promise<ForestWorkers> {
  const { workers: asked } = options;
  if (!Number.isSafeInteger(asked) || asked < 1 || asked > 64) {
    throw new RangeError(`Cannot start workers: their number must be from 1 to 64, got ${asked}`);
  }
  const others = (await Promise.all(Array.from({ length: asked - 1 }, started))).filter((each) =>
    each !== null
  );
  let queue: Promise<unknown> = Promise.resolve();
  const count = others.length + 1;
  const growNow = async (
    columns: readonly Float64Array[],
    outcome: Uint8Array,
    options: GrowForestOptions & { readonly outOfBag: false },
  ): Promise<Forest> => {
    const { trees = 200, firstTree = 0, importance = false } = options;
    if (importance || trees < count || others.length === 0) return growForest(columns, outcome, options);
    const part = (worker: number): { trees: number; firstTree: number } => {
      const from = Math.floor(worker * trees / count), to = Math.floor((worker + 1) * trees / count);
      return { trees: to - from, firstTree: firstTree + from };
    };
    const awaited = others.map((worker, i) =>
      askFor(worker, { columns, outcome, options: { ...options, ...part(i + 1) } })
    );
    let own: Forest;
    try {
      own = growForest(columns, outcome, { ...options, ...part(0) });
    } catch (error) {
      await Promise.all(awaited);
      throw error;
    }
    const parts: (readonly Tree[])[] = [own.trees];
    for (const [i, found] of (await Promise.all(awaited)).entries()) {
      parts.push(found ?? growForest(columns, outcome, { ...options, ...part(i + 1) }).trees);
    }
    return { ...own, trees: parts.flat() };
  };
  return {
    count,
    // One forest after the other: a thread answers one question at a time.
    grow(columns, outcome, options) {
      const growing = queue.then(() => growNow(columns, outcome, options));
      queue = growing.catch(() => {});
      return growing;
    },
    end: () => others.forEach((worker) => worker.terminate()),
  };
}
