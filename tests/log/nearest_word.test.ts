import { expect, test } from "vitest";
import { nearestWord } from "../../lib/log/mod.ts";

test("nearestWord() finds a word with a letter missing, added, changed or swapped", () => {
  const words = ["readings_left", "readings_right", "site"];
  expect(nearestWord("readings_lft", words)).toBe("readings_left");
  expect(nearestWord("READING_RIGHT", words)).toBe("readings_right");
  expect(nearestWord("stie", words)).toBe("site");
});

test("nearestWord() gives null where nothing is near, and the first of two equally near", () => {
  expect(nearestWord("zinc", ["ferrous", "both"])).toBe(null);
  expect(nearestWord("ab", ["xy"])).toBe(null);
  expect(nearestWord("cat", ["bat", "hat"])).toBe("bat");
  expect(nearestWord("x", [])).toBe(null);
});
