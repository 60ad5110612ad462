import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { hashOf, sameBytes, signsIn } from "../../lib/log/fast_bytes.ts";

const bytes = fc.array(fc.oneof(fc.nat(255), fc.constantFrom(0, 10, 10, 13, 34, 39, 65, 65, 65)), {
  maxLength: 90,
})
  .map((all) => Uint8Array.from(all));

describe("signsIn()", () => {
  test("finds what a look at each byte finds, wherever the bytes lie in memory", () => {
    fc.assert(
      fc.property(bytes, fc.nat(4), (all, offset) => {
        const part = all.subarray(Math.min(offset, all.length));
        const { lineStarts, lineCount, ...signs } = signsIn(part);
        const starts = [0, ...[...part].flatMap((byte, i) => byte === 10 ? [i + 1] : [])];
        expect([...lineStarts.subarray(0, lineCount)]).toEqual(starts.filter((start) => start < part.length));
        expect(signs).toEqual({
          nul: part.includes(0),
          cr: part.includes(13),
          doubleQuote: part.includes(34),
          singleQuote: part.includes(39),
          ascii: part.every((byte) => byte < 128),
        });
      }),
      { numRuns: 2000, seed: 5 },
    );
  });
});

describe("hashOf() and sameBytes()", () => {
  test("agree on equal bytes, and tell others apart", () => {
    fc.assert(
      fc.property(bytes, bytes, fc.nat(3), (a, b, shift) => {
        const copy = new Uint8Array(a.length + shift);
        copy.set(a, shift);
        const view = (of: Uint8Array) => new DataView(of.buffer, of.byteOffset, of.length);
        expect(hashOf(view(copy), shift, copy.length)).toBe(hashOf(view(a), 0, a.length));
        expect(sameBytes(view(copy), shift, view(a), 0, a.length)).toBe(true);
        const length = Math.min(a.length, b.length);
        const equal = a.subarray(0, length).every((byte, i) => byte === b[i]);
        expect(sameBytes(view(a), 0, view(b), 0, length)).toBe(equal);
      }),
      { numRuns: 1000, seed: 5 },
    );
  });
});
