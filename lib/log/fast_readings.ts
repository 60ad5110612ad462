import { longer } from "./fast_longer.ts";
import type { Machine } from "./machines.ts";
import type { Passes, PassKind } from "./rows.ts";

const KINDS: readonly PassKind[] = ["passes", "range", "low-usual-high"];
const SPACE = 32, POINT = 46, MINUS = 45, ZERO = 48, NINE = 57, UPPER_X = 88, LOWER_X = 120;
const LONGEST = 499;
const TENS = [1, 10, 100, 1000, 10_000, 100_000, 1_000_000];

/**
 * Readings cells in a few long arrays, each cell under a number from 1 up; 0 is no cell. Numbers and lone x's with one
 * space between them are read from their bytes; every other cell is for `readReadings` to read, and is put in whole.
 */
export class PassesTable {
  /** All readings of all cells, end to end. */
  readings: Float64Array<ArrayBuffer>;
  /** Where the readings of each cell begin, by its number; the next one's beginning is its end. */
  starts: Int32Array<ArrayBuffer>;
  silent: Int32Array<ArrayBuffer>;
  /** -1 for null. */
  passes: Int32Array<ArrayBuffer>;
  /** Index of the kind, plus 4 where the cell is approximate. */
  kinds: Uint8Array<ArrayBuffer>;
  /** Where the cell was written; -1 where `#written` has it. */
  readonly #text: (start: number, end: number) => string;
  readonly #body: Uint8Array;
  readonly #written = new Map<number, string>();
  #from: Int32Array<ArrayBuffer>;
  #to: Int32Array<ArrayBuffer>;
  #count = 1;
  #used = 0;
  /** How many readings the cell read last has, and how many passes gave none. */
  lastReadings = 0;
  lastSilent = 0;
  /** Whether a reading of the cell read last lies between two steps of the scale. */
  lastOffStep = false;

  /** `cells` is how many cells to expect. */
  constructor(body: Uint8Array, text: (start: number, end: number) => string, cells: number) {
    this.#body = body;
    this.#text = text;
    const room = cells + 256;
    this.readings = new Float64Array(room * 4);
    this.starts = new Int32Array(room);
    this.silent = new Int32Array(room);
    this.passes = new Int32Array(room);
    this.kinds = new Uint8Array(room);
    this.#from = new Int32Array(room);
    this.#to = new Int32Array(room);
  }

  /**
   * Reads the bytes of a cell into the arrays without taking it up yet: `take` does. False for a cell that is not of
   * the plain kind, or has a reading off the scale.
   */
  read(start: number, end: number, scale: Machine["scale"]): boolean {
    if (end - start > LONGEST) return false;
    const body = this.#body;
    const { low, high, step } = scale;
    const inOnes = step === 1 && Number.isInteger(low);
    while (this.#used + 256 > this.readings.length) this.readings = longer(this.readings);
    const out = this.readings;
    let used = this.#used, silent = 0, i = start, afterX = false, off = false;
    let joined = false;
    for (;;) {
      let byte = i < end ? body[i]! : 0;
      if (byte === LOWER_X || byte === UPPER_X) {
        silent++;
        i++;
        afterX = true;
      } else {
        const negative = byte === MINUS;
        if (negative) byte = ++i < end ? body[i]! : 0;
        const first = i;
        let whole = 0;
        while (byte >= ZERO && byte <= NINE) {
          whole = (Math.imul(whole, 10) + (byte - ZERO)) | 0;
          byte = ++i < end ? body[i]! : 0;
        }
        const digits = i - first;
        // An x before a small whole number may mean a count.
        if (digits === 0 || digits > 9 || (afterX && digits <= 2)) return false;
        afterX = false;
        let decimals = 0, value = whole;
        if (byte === POINT) {
          const from = ++i;
          byte = i < end ? body[i]! : 0;
          while (byte >= ZERO && byte <= NINE) {
            value = value * 10 + (byte - ZERO);
            byte = ++i < end ? body[i]! : 0;
          }
          decimals = i - from;
          if (decimals === 0 || decimals > 6) return false;
          // Both are whole and below 2^53, so that one rounding gives what Number() gives.
          value /= TENS[decimals]!;
        }
        if (negative) {
          value = 0 - value;
          // A minus sign close before the second of two numbers is for the rule about ranges.
          joined = used === this.#used + 1 && silent === 0 && out[this.#used]! >= 0;
        } else joined = false;
        if (value < low || value > high) return false;
        if ((!inOnes || decimals > 0) && !off) {
          const steps = (value - low) / step;
          off = !(Math.abs(steps - Math.round(steps)) < 1e-6);
        }
        out[used++] = value;
      }
      if (i === end) break;
      if (body[i] !== SPACE || i + 1 === end) return false;
      i++;
    }
    this.lastReadings = used - this.#used;
    this.lastSilent = silent;
    this.lastOffStep = off;
    return !(joined && silent === 0 && this.lastReadings === 2);
  }

  /** Takes up the cell that was read last, with its counts settled. Gives its number. */
  take(start: number, end: number, silent: number, passes: number): number {
    const cell = this.#next();
    this.#from[cell] = start;
    this.#to[cell] = end;
    this.silent[cell] = silent;
    this.passes[cell] = passes;
    this.kinds[cell] = 0;
    this.#used += this.lastReadings;
    this.starts[cell + 1] = this.#used;
    return cell;
  }

  /** Takes up a cell that was read elsewhere. Gives its number. */
  put(passes: Passes | null): number {
    if (passes === null) return 0;
    const { readings } = passes;
    while (this.#used + readings.length > this.readings.length) this.readings = longer(this.readings);
    const cell = this.#next();
    this.#from[cell] = -1;
    this.#written.set(cell, passes.written);
    this.silent[cell] = passes.silent;
    this.passes[cell] = passes.passes ?? -1;
    this.kinds[cell] = KINDS.indexOf(passes.kind) + (passes.approximate ? 4 : 0);
    this.readings.set(readings, this.#used);
    this.#used += readings.length;
    this.starts[cell + 1] = this.#used;
    return cell;
  }

  /** A mark to go back to with `forget`. */
  get mark(): number {
    return this.#count;
  }

  /** Drops the cells that were taken up since the mark. */
  forget(mark: number): void {
    for (let cell = mark; cell < this.#count; cell++) this.#written.delete(cell);
    this.#count = mark;
    this.#used = this.starts[mark]!;
  }

  /** The cell as an object, null for number 0. */
  get(cell: number): Passes | null {
    if (cell === 0) return null;
    const start = this.starts[cell]!, end = this.starts[cell + 1]!;
    const readings: number[] = [];
    for (let i = start; i < end; i++) readings.push(this.readings[i]!);
    const kind = this.kinds[cell]!;
    const passes = this.passes[cell]!;
    const from = this.#from[cell]!;
    return {
      written: from < 0 ? this.#written.get(cell)! : this.#text(from, this.#to[cell]!),
      kind: KINDS[kind & 3]!,
      readings,
      silent: this.silent[cell]!,
      passes: passes < 0 ? null : passes,
      approximate: kind >= 4,
    };
  }

  #next(): number {
    const cell = this.#count++;
    if (cell + 2 > this.silent.length) {
      this.starts = longer(this.starts);
      this.silent = longer(this.silent);
      this.passes = longer(this.passes);
      this.kinds = longer(this.kinds);
      this.#from = longer(this.#from);
      this.#to = longer(this.#to);
    }
    return cell;
  }
}
