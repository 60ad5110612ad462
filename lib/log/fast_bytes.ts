/** Which signs that need care are anywhere in a text. */
export interface Signs {
  readonly nul: boolean;
  /** A carriage return. */
  readonly cr: boolean;
  readonly doubleQuote: boolean;
  readonly singleQuote: boolean;
  /** All bytes are below 0x80. */
  readonly ascii: boolean;
}

/** The highest and the lowest bit of each byte of four. */
export const HIGH = 0x80808080, ONES = 0x01010101;

/** The bytes four at a time, from the first place in memory where four begin, and how many bytes lie before it. */
export function inFours(bytes: Uint8Array): { readonly lead: number; readonly fours: Uint32Array } {
  const lead = (4 - (bytes.byteOffset & 3)) & 3;
  return bytes.length <= lead
    ? { lead: bytes.length, fours: new Uint32Array(0) }
    : { lead, fours: new Uint32Array(bytes.buffer, bytes.byteOffset + lead, (bytes.length - lead) >> 2) };
}

/**
 * Looks for the signs in bytes, four at a time where they lie so in memory. Some byte of a word w is 0 where
 * (w - 0x01010101) & ~w & 0x80808080 is not (Warren, Hacker's Delight, 2nd edition 2012, section 6-1; from memory).
 */
export function signsIn(bytes: Uint8Array): Signs {
  const { lead, fours } = inFours(bytes);
  let all = 0, nul = 0, cr = 0, doubleQuote = 0, singleQuote = 0;
  for (let i = 0; i < fours.length; i++) {
    const four = fours[i]! | 0;
    all |= four;
    nul |= (four - ONES) & ~four;
    const c = four ^ 0x0d0d0d0d, d = four ^ 0x22222222, s = four ^ 0x27272727;
    cr |= (c - ONES) & ~c;
    doubleQuote |= (d - ONES) & ~d;
    singleQuote |= (s - ONES) & ~s;
  }
  const ends = [...bytes.subarray(0, lead), ...bytes.subarray(lead + fours.length * 4)];
  return {
    nul: (nul & HIGH) !== 0 || ends.includes(0),
    cr: (cr & HIGH) !== 0 || ends.includes(13),
    doubleQuote: (doubleQuote & HIGH) !== 0 || ends.includes(34),
    singleQuote: (singleQuote & HIGH) !== 0 || ends.includes(39),
    ascii: (all & HIGH) === 0 && ends.every((byte) => byte < 0x80),
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
