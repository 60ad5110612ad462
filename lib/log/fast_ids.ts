import { hashOf, sameBytes } from "./fast_bytes.ts";
import { longer } from "./fast_longer.ts";

const viewOf = (bytes: Uint8Array): DataView =>
  new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);

/** A set of ids, most of them known only by where their bytes lie in the file. */
export class IdTable {
  readonly #view: DataView;
  readonly #encoder = new TextEncoder();
  #slots = new Int32Array(1024);
  #mask = 1023;
  /** Where each id begins: in the file, or, below 0, in `#extra`. */
  #starts = new Int32Array(512);
  #lengths = new Int32Array(512);
  #hashes = new Int32Array(512);
  #count = 0;
  #extra = new Uint8Array(256);
  #extraUsed = 0;

  constructor(body: Uint8Array) {
    this.#view = viewOf(body);
  }

  /** The slot of an id of the file, for `addAt`, or -1 where it was met. */
  freeSlot(start: number, end: number): number {
    const found = this.#find(this.#view, start, end - start);
    return found < 0 ? -1 : found;
  }

  /** Adds an id whose slot was found just before. */
  addAt(slot: number, start: number, end: number): void {
    this.#insert(slot, start, end - start, this.#lastHash);
  }

  has(id: string): boolean {
    const bytes = this.#encoder.encode(id);
    return this.#find(viewOf(bytes), 0, bytes.length) < 0;
  }

  add(id: string): void {
    const bytes = this.#encoder.encode(id);
    const slot = this.#find(viewOf(bytes), 0, bytes.length);
    if (slot < 0) return;
    const needed = this.#extraUsed + bytes.length;
    if (needed > this.#extra.length) this.#extra = longer(this.#extra, needed);
    this.#extra.set(bytes, this.#extraUsed);
    this.#insert(slot, -1 - this.#extraUsed, bytes.length, this.#lastHash);
    this.#extraUsed += bytes.length;
  }

  #lastHash = 0;

  /** The slot that is free for the bytes, or -1 where they were met. */
  #find(bytes: DataView, start: number, length: number): number {
    const hash = hashOf(bytes, start, start + length);
    this.#lastHash = hash;
    for (let slot = hash & this.#mask;; slot = (slot + 1) & this.#mask) {
      const entry = this.#slots[slot]! - 1;
      if (entry < 0) return slot;
      if (this.#hashes[entry] !== hash || this.#lengths[entry] !== length) continue;
      const from = this.#starts[entry]!;
      const same = from < 0
        ? sameBytes(viewOf(this.#extra), -1 - from, bytes, start, length)
        : sameBytes(this.#view, from, bytes, start, length);
      if (same) return -1;
    }
  }

  #insert(slot: number, start: number, length: number, hash: number): void {
    if (this.#count === this.#starts.length) {
      this.#starts = longer(this.#starts);
      this.#lengths = longer(this.#lengths);
      this.#hashes = longer(this.#hashes);
    }
    const entry = this.#count++;
    this.#starts[entry] = start;
    this.#lengths[entry] = length;
    this.#hashes[entry] = hash;
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
  }
}
