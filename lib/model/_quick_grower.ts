import type { Chance } from "../numbers/mod.ts";
import type { BinnedFeature } from "./_bins.ts";
import { codeOf } from "./_code.ts";
import type { GrowOptions, Tree } from "./_tree.ts";

/** Rows whose number and class sums fit into what the compiled code packs together. */
const MOST_ROWS = 2 ** 21 - 1;
/** Values that fit into its memory along with the rest. */
const MOST_VALUES = 2 ** 30;

/** Whether the quick grower can do it. */
export function isQuick(rows: number, features: number, classes: number): boolean {
  return classes <= 3 && rows <= MOST_ROWS && rows * features <= MOST_VALUES;
}

interface GrowTree {
  layOut(at: number, rows: number, features: number, nodes: number): number;
  placeOf(what: number): number;
  setOptions(tryFeatures: number, leastLeaf: number, mostDepth: number): void;
  setState(s0: number, s1: number, s2: number, s3: number): void;
  draw(): void;
  drawAll(): void;
  grow(): number;
  writeShares(nodes: number, classes: number): void;
}

/** Where `placeOf` finds things. */
const PLACES = [
  "codes",
  "bins",
  "low",
  "high",
  "exact",
  "outcome",
  "draws",
  "feature",
  "threshold",
  "missingLeft",
  "left",
  "shares",
  "splitBin",
] as const;

const growTree = codeOf<GrowTree>("grow_tree");

/**
 * Grows the same trees as `Grower`, for up to three classes and rows without weights, several times as fast: by the compiled
 * code of assembly/grow_tree.ts. A grower must be done before another is made, since both use the same memory.
 */
export class QuickGrower {
  readonly #code: GrowTree;
  readonly #memory: ArrayBuffer;
  readonly #at: Readonly<Record<typeof PLACES[number], number>>;
  readonly #classes: number;
  readonly draws: Int32Array;
  splitBin: Int16Array = new Int16Array(0);

  constructor(features: readonly BinnedFeature[], outcome: Uint8Array, options: GrowOptions) {
    const { call: code, room } = growTree(), n = outcome.length, p = features.length;
    const buffer = room(code.layOut(16, n, p, 2 * n + 1));
    // Whole numbers of rows and splits: a limit beyond any number of them is none.
    code.setOptions(
      options.tryFeatures,
      Math.min(Math.ceil(options.leastLeaf), 2 ** 30),
      Math.min(options.mostDepth, 2 ** 30),
    );
    const at = Object.fromEntries(PLACES.map((name, place) => [name, code.placeOf(place)])) as Record<
      typeof PLACES[number],
      number
    >;
    new Uint8Array(buffer, at.outcome, n).set(outcome);
    features.forEach(({ codes, count, low, high, exact }, j) => {
      new Uint8Array(buffer, at.codes + n * j, n).set(codes);
      new Int32Array(buffer, at.bins, p)[j] = count;
      new Int32Array(buffer, at.exact, p)[j] = exact ? 1 : 0;
      new Float64Array(buffer, at.low + 2048 * j, 256).set(low);
      new Float64Array(buffer, at.high + 2048 * j, 256).set(high);
    });
    this.#code = code;
    this.#memory = buffer;
    this.#at = at;
    this.#classes = options.classes;
    this.draws = new Int32Array(buffer, at.draws, n);
  }

  grow(chance: Chance, bootstrap: boolean): Tree {
    const code = this.#code, buffer = this.#memory, at = this.#at, classes = this.#classes;
    const [s0, s1, s2, s3] = chance.state();
    code.setState(s0!, s1!, s2!, s3!);
    if (bootstrap) code.draw();
    else code.drawAll();
    const nodes = code.grow();
    code.writeShares(nodes, classes);
    this.splitBin = new Int16Array(buffer, at.splitBin, nodes);
    // One piece of memory for all lists of a tree.
    const room = new ArrayBuffer(nodes * (8 * classes + 15));
    let next = 0;
    const copy = <List extends Float64Array | Int32Array | Int16Array | Uint8Array>(
      List: { new (buffer: ArrayBufferLike, at: number, length: number): List },
      from: number,
      length: number,
    ): List => {
      const list = new List(room, next, length);
      list.set(new List(buffer, from, length));
      next += list.byteLength;
      return list;
    };
    const shares = copy(Float64Array, at.shares, nodes * classes);
    const threshold = copy(Float64Array, at.threshold, nodes);
    const left = copy(Int32Array, at.left, nodes);
    const feature = copy(Int16Array, at.feature, nodes);
    const missingLeft = copy(Uint8Array, at.missingLeft, nodes);
    return { feature, threshold, missingLeft, left, shares };
  }
}
