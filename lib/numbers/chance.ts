/** A stream of pseudo-random numbers. Every draw moves the stream on; two streams of one name are equal. */
export interface Chance {
  /** A double in [0, 1) with 53 random bits. */
  next(): number;
  /** A whole number of 32 random bits, from 0 to 4294967295. */
  word(): number;
  /** The four words the stream goes on from, each a signed whole number of 32 bits: for the same generator elsewhere. */
  state(): Int32Array;
  /** A whole number from 0 to `below` - 1, each as likely. */
  integer(below: number): number;
  /** A draw from the standard normal distribution (Box and Muller 1958). */
  normal(): number;
  /** A new array with the items in random order (Fisher-Yates). */
  shuffle<T>(items: readonly T[]): T[];
}

const rotate = (x: number, k: number): number => (x << k) | (x >>> (32 - k));

/**
 * Gives the stream of random numbers that belongs to a seed, a name and a replicate number.
 *
 * The stream of replicate i does not depend on what other streams were drawn from, so order, workers and new calls
 * elsewhere change nothing. Generator: xoshiro128** (Blackman and Vigna 2021, ACM Trans. Math. Softw. 47:36), two
 * 32-bit outputs a double; its state is filled from a hash of the three arguments (FNV-1a over the name, then the
 * finaliser of MurmurHash3).
 *
 * Throws RangeError unless seed and replicate are safe integers, 0 or above.
 *
 * @example
 * ```ts
 * import { chance } from "overiron";
 * if (chance(1, "example", 0).next() !== chance(1, "example", 0).next()) throw new Error("not repeatable");
 * if (chance(1, "example", 0).next() === chance(1, "example", 1).next()) throw new Error("not independent");
 * ```
 */
export function chance(seed: number, name: string, replicate = 0): Chance {
  for (const [label, number] of [["seed", seed], ["replicate", replicate]] as const) {
    if (!Number.isSafeInteger(number) || number < 0) {
      throw new RangeError(`Cannot draw: ${label} must be a whole number of 0 or above, got ${number}`);
    }
  }
  let hash = 0x811c9dc5;
  const take = (word: number): void => {
    hash = Math.imul(hash ^ (word & 0xffff), 0x01000193) >>> 0;
    hash = Math.imul(hash ^ (word >>> 16), 0x01000193) >>> 0;
  };
  for (let i = 0; i < name.length; i++) take(name.charCodeAt(i));
  for (const number of [seed, replicate]) {
    take(number >>> 0);
    take(Math.floor(number / 4294967296) >>> 0);
  }
  const fill = (): number => {
    hash = (hash + 0x9e3779b9) >>> 0;
    let mixed = hash;
    mixed = Math.imul(mixed ^ (mixed >>> 16), 0x85ebca6b);
    mixed = Math.imul(mixed ^ (mixed >>> 13), 0xc2b2ae35);
    return (mixed ^ (mixed >>> 16)) >>> 0;
  };
  return new Stream(Int32Array.of(fill(), fill(), fill(), fill() | 1));
}

/** In a typed array the state stays whole numbers of 32 bits; variables of a closure would be boxed at every draw. */
class Stream implements Chance {
  readonly #state: Int32Array;

  constructor(state: Int32Array) {
    this.#state = state;
  }

  next(): number {
    const high = this.word(), low = this.word();
    return ((high >>> 5) * 67108864 + (low >>> 6)) / 9007199254740992;
  }

  word(): number {
    const state = this.#state;
    const a = state[0]!, b = state[1]!;
    let c = state[2]!, d = state[3]!;
    const word = Math.imul(rotate(Math.imul(b, 5), 7), 9), shifted = b << 9;
    c ^= a;
    d ^= b;
    state[1] = b ^ c;
    state[0] = a ^ d;
    state[2] = c ^ shifted;
    state[3] = rotate(d, 11);
    return word >>> 0;
  }

  state(): Int32Array {
    return this.#state.slice();
  }

  integer(below: number): number {
    if (!Number.isSafeInteger(below) || below < 1) {
      throw new RangeError(`Cannot draw: below must be a whole number of 1 or above, got ${below}`);
    }
    return Math.floor(this.next() * below);
  }

  normal(): number {
    return Math.sqrt(-2 * Math.log(1 - this.next())) * Math.cos(2 * Math.PI * this.next());
  }

  shuffle<T>(items: readonly T[]): T[] {
    const out = [...items];
    for (let i = out.length - 1; i > 0; i--) {
      const j = this.integer(i + 1);
      [out[i], out[j]] = [out[j]!, out[i]!];
    }
    return out;
  }
}
