import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { IdTable } from "../../lib/log/fast_ids.ts";
import { AT_FAULT, WordTable } from "../../lib/log/fast_words.ts";
import { bytesOf } from "./_helpers.ts";

const word = fc.oneof(
  fc.constantFrom(
    "a",
    "b",
    "ab",
    "abc",
    "abcd",
    "abcde",
    "abcdefgh",
    "abcdefghi",
    "abcdXfghi",
    "abcdefghijklm",
    "é",
  ),
  fc.string({ minLength: 1, maxLength: 14 }).filter((text) => !text.includes(",")),
);

/** Where each word lies in the text of all of them. */
function placed(
  words: readonly string[],
): { readonly bytes: Uint8Array; readonly at: readonly [number, number][] } {
  const bytes = bytesOf(words.join(","));
  let start = 0;
  const at = words.map((each): [number, number] => {
    const end = start + bytesOf(each).length;
    const place: [number, number] = [start, end];
    start = end + 1;
    return place;
  });
  return { bytes, at };
}

describe("WordTable", () => {
  test("gives equal codes to equal values, however written, and reads each way of writing once", () => {
    fc.assert(
      fc.property(fc.array(word, { minLength: 1, maxLength: 200 }), (words) => {
        const { bytes, at } = placed(words);
        let reads = 0;
        const table = new WordTable(bytes, (start, end) => {
          reads++;
          const text = new TextDecoder().decode(bytes.subarray(start, end));
          return text === "b" ? undefined : text === "ab" ? null : text.toLowerCase();
        });
        const codes = at.map(([start, end]) => table.code(start, end));
        expect(codes.map((code) => code === AT_FAULT ? undefined : table.values[code])).toEqual(
          words.map((each) => each === "b" ? undefined : each === "ab" ? null : each.toLowerCase()),
        );
        expect(new Set(codes.filter((code) => code > 0)).size).toBe(table.values.length - 1);
        expect(reads).toBe(new Set(words.map((each) => each.toWellFormed())).size);
      }),
      { numRuns: 500, seed: 9 },
    );
  });
});

describe("IdTable", () => {
  test("knows the ids of the file and those told to it", () => {
    fc.assert(
      fc.property(fc.array(word, { minLength: 1, maxLength: 200 }), fc.array(fc.boolean()), (words, told) => {
        const { bytes, at } = placed(words);
        const table = new IdTable(bytes), met = new Set<string>();
        words.map((each) => each.toWellFormed()).forEach((each, i) => {
          const [start, end] = at[i]!;
          expect(table.has(each)).toBe(met.has(each));
          if (told[i] === true) table.add(each);
          else {
            const slot = table.freeSlot(start, end);
            expect(slot < 0).toBe(met.has(each));
            if (slot >= 0) table.addAt(slot, start, end);
          }
          met.add(each);
          expect(table.has(each)).toBe(true);
        });
      }),
      { numRuns: 300, seed: 9 },
    );
  });

  test("keeps apart many ids, past every growth", () => {
    const words = Array.from({ length: 5000 }, (_, i) => `signal-${i}-of-a-season`);
    const { bytes, at } = placed(words);
    const table = new IdTable(bytes);
    for (const [start, end] of at) table.addAt(table.freeSlot(start, end), start, end);
    expect(at.every(([start, end]) => table.freeSlot(start, end) === -1)).toBe(true);
    expect(table.has("signal-5000-of-a-season")).toBe(false);
  });
});
