import { expect, test } from "vitest";
import { plainWord } from "../../lib/figures/plain_word.ts";

test("plainWord() reads as a person writes, and leaves names, months and other words alone", () => {
  expect(["masked-good", "by-evidence", "not-dug"].map(plainWord)).toEqual([
    "masked good",
    "by evidence",
    "not dug",
  ]);
  for (const word of ["2025-03", "non-ferrous", "Site A", "constructor", "__proto__"]) {
    expect(plainWord(word)).toBe(word);
  }
});
