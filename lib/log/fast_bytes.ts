import { longer } from "./fast_longer.ts";

/** Which signs that need care are anywhere in a text, and where its lines begin. */
export interface Signs {
  readonly nul: boolean;
  /** A carriage return. */
  readonly cr: boolean;
  readonly doubleQuote: boolean;
  readonly singleQuote: boolean;
  /** All bytes are below 0x80. */
  readonly ascii: boolean;
  /** Where each line that ends with a line feed, or with the text, begins: the first `lineCount` numbers. */
  readonly lineStarts: Uint32Array;
  readonly lineCount: number;
}

/** The highest and the lowest bit of each byte of four. */
export const HIGH = 0x80808080, ONES = 0x01010101;

/** The bytes four at a time, from the first place in memory where four begin, and how many bytes lie before it. */
export function inFours(bytes: Uint8Array): { readonly lead: number; readonly fours: Int32Array } {
  const lead = (4 - (bytes.byteOffset & 3)) & 3;
  return bytes.length <= lead
    ? { lead: bytes.length, fours: new Int32Array(0) }
    : { lead, fours: new Int32Array(bytes.buffer, bytes.byteOffset + lead, (bytes.length - lead) >> 2) };
}

/**
 * Looks for the signs in bytes, four at a time where they lie so in memory. Some byte of a word w is 0 where
 * (w - 0x01010101) & ~w & 0x80808080 is not, and below 0x20 only where (w - 0x20202020) & ~w & 0x80808080 is not (Warren,
 * Hacker's Delight, 2nd edition 2012, section 6-1; from memory).
 */
export function signsIn(bytes: Uint8Array): Signs {
  const { lead, fours } = inFours(bytes);
  let lineStarts = new Uint32Array(Math.max(16, bytes.length >> 6));
  let lineCount = bytes.length === 0 ? 0 : 1;
  let all = 0, doubleQuote = 0, singleQuote = 0, nul = false, cr = false;
  const tail = lead + fours.length * 4;
  for (let i = 0; i < bytes.length; i++) {
    if (i >= lead && i < tail && ((i - lead) & 3) === 0) {
      // On to the next four with a byte below 0x20.
      let k = (i - lead) >> 2, low = 0;
      while (k < fours.length && low === 0) {
        const four = fours[k]!;
        const d = four ^ 0x22222222, s = four ^ 0x27272727;
        all |= four;
        doubleQuote |= (d - ONES) & ~d;
        singleQuote |= (s - ONES) & ~s;
        low = (four - 0x20202020) & ~four & HIGH;
        if (low === 0) k++;
      }
      i = lead + k * 4;
      if (i >= bytes.length) break;
    }
    const byte = bytes[i]!;
    if (byte === 10) {
      if (lineCount === lineStarts.length) lineStarts = longer(lineStarts);
      lineStarts[lineCount++] = i + 1;
    } else if (byte === 13) cr = true;
    else if (byte === 0) nul = true;
  }
  if (lineCount > 0 && lineStarts[lineCount - 1] === bytes.length) lineCount--;
  const ends = [...bytes.subarray(0, lead), ...bytes.subarray(tail)];
  return {
    nul,
    cr,
    doubleQuote: (doubleQuote & HIGH) !== 0 || ends.includes(34),
    singleQuote: (singleQuote & HIGH) !== 0 || ends.includes(39),
    ascii: (all & HIGH) === 0 && ends.every((byte) => byte < 0x80),
    lineStarts,
    lineCount,
  };
}

/** A number made of the bytes from `start` to before `end`: equal for equal bytes. */
export function hashOf(view: DataView, start: number, end: number): number {
  const length = end - start;
  let hash = length;
  if (length < 4) {
    for (let i = start; i < end; i++) hash = (hash << 8) | view.getUint8(i);
  } else {
    for (let i = start; i + 4 <= end; i += 4) {
      hash = Math.imul(hash ^ view.getInt32(i, true), 0x01000193);
      hash ^= hash >>> 13;
    }
    hash ^= view.getInt32(end - 4, true);
  }
  hash = Math.imul(hash, 0x2c1b3c6d);
  return hash ^ (hash >>> 15);
}

/** Whether `length` bytes are the same in two places. */
export function sameBytes(a: DataView, from: number, b: DataView, start: number, length: number): boolean {
  if (length < 4) {
    for (let i = 0; i < length; i++) if (a.getUint8(from + i) !== b.getUint8(start + i)) return false;
    return true;
  }
  for (let i = 0; i + 4 <= length; i += 4) {
    if (a.getInt32(from + i, true) !== b.getInt32(start + i, true)) return false;
  }
  return a.getInt32(from + length - 4, true) === b.getInt32(start + length - 4, true);
}
