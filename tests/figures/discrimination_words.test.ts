import { expect, test } from "vitest";
import { discriminationWords } from "../../lib/figures/discrimination_words.ts";
import { WORDS } from "../../lib/log/mod.ts";

test("discriminationWords() has words for every setting that a log may state, and refuses others", () => {
  for (const setting of WORDS.discrimination) expect(discriminationWords(setting)).toMatch(/^[a-z ]{10,}$/);
  expect(discriminationWords("none")).toBe("nothing silenced");
  expect(() => discriminationWords("some")).toThrow(
    new RangeError(
      'Cannot put discrimination into words: must be none, iron-silenced, other, not-stated, got "some"',
    ),
  );
});
