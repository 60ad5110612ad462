import { hashOf, sameBytes } from "./fast_bytes.ts";
import { longer } from "./fast_longer.ts";

/** What a cell means: a value, or a fault that this path leaves to the strict one. */
export type Meaning = string | number | null | undefined;

/** The bytes of a cell of one to three, as `getInt32` gives them, where it would read past the end. */
const headOf = (view: DataView, start: number, end: number): number => {
  let head = 0;
  for (let i = end - 1; i >= start; i--) head = (head << 8) | view.getUint8(i);
  return head;
};

/** The code of a cell whose meaning is a fault. */
export const AT_FAULT = -1;

/**
 * The distinct cells of a column, found by their bytes. Each is read once, by the strict rule, and has the code of its
 * value from then on: 0 is null, and equal values have equal codes however they were written.
 */
export class WordTable {
  /** By code. */
  readonly values: (string | number | null)[] = [null];
  readonly #view: DataView;
  readonly #read: (start: number, end: number) => Meaning;
  readonly #codeOf = new Map<string | number, number>();
  #slots = new Int32Array(64);
  #mask = 63;
  #starts = new Int32Array(32);
  #lengths = new Int32Array(32);
  #heads = new Int32Array(32);
  #tails = new Int32Array(32);
  #hashes = new Int32Array(32);
  #codes = new Int32Array(32);
  #count = 0;

  /** `read` gives the meaning of a cell that was not met before, undefined for a fault. */
  constructor(body: Uint8Array, read: (start: number, end: number) => Meaning) {
    this.#view = new DataView(body.buffer, body.byteOffset, body.byteLength);
    this.#read = read;
  }

  /** The code of a value. */
  codeOfValue(value: string | number | null): number {
    if (value === null) return 0;
    let code = this.#codeOf.get(value);
    if (code === undefined) {
      code = this.values.length;
      this.values.push(value);
      this.#codeOf.set(value, code);
    }
    return code;
  }

  /** The code of a cell that is not empty, or `AT_FAULT`. */
  code(start: number, end: number): number {
    const view = this.#view, mask = this.#mask, slots = this.#slots, heads = this.#heads;
    const length = end - start;
    // Up to eight bytes, head and tail are the whole cell.
    const head = length >= 4
      ? view.getInt32(start, true)
      : start + 4 <= view.byteLength
      ? view.getInt32(start, true) & (0xffffff >>> (24 - 8 * length))
      : headOf(view, start, end);
    const tail = length > 4 ? view.getInt32(end - 4, true) : 0;
    let hash = Math.imul(head ^ Math.imul(tail, 0x2c1b3c6d) ^ length, 0x01000193);
    if (length > 8) hash ^= hashOf(view, start + 4, end - 4);
    hash ^= hash >>> 15;
    for (let slot = hash & mask;; slot = (slot + 1) & mask) {
      const entry = slots[slot]! - 1;
      if (entry < 0) return this.#add(start, end, { hash, head, tail, slot });
      if (heads[entry] !== head || this.#tails[entry] !== tail || this.#lengths[entry] !== length) continue;
      if (length <= 8 || sameBytes(view, this.#starts[entry]! + 4, view, start + 4, length - 8)) {
        return this.#codes[entry]!;
      }
    }
  }

  #add(
    start: number,
    end: number,
    { hash, head, tail, slot }: { hash: number; head: number; tail: number; slot: number },
  ): number {
    const meaning = this.#read(start, end);
    const code = meaning === undefined ? AT_FAULT : this.codeOfValue(meaning);
    if (this.#count === this.#starts.length) {
      this.#starts = longer(this.#starts);
      this.#lengths = longer(this.#lengths);
      this.#heads = longer(this.#heads);
      this.#tails = longer(this.#tails);
      this.#hashes = longer(this.#hashes);
      this.#codes = longer(this.#codes);
    }
    const entry = this.#count++;
    this.#starts[entry] = start;
    this.#lengths[entry] = end - start;
    this.#heads[entry] = head;
    this.#tails[entry] = tail;
    this.#hashes[entry] = hash;
    this.#codes[entry] = code;
    this.#slots[slot] = entry + 1;
    if (this.#count * 2 > this.#slots.length) {
      this.#mask = this.#slots.length * 2 - 1;
      this.#slots = new Int32Array(this.#mask + 1);
      for (let i = 0; i < this.#count; i++) {
        let at = this.#hashes[i]! & this.#mask;
        while (this.#slots[at] !== 0) at = (at + 1) & this.#mask;
        this.#slots[at] = i + 1;
      }
    }
    return code;
  }
}
