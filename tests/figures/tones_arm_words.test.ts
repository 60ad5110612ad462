import { expect, test } from "vitest";
import { tonesArmWords } from "../../lib/figures/tones_arm_words.ts";

test("tonesArmWords() names a discrimination setting unless it is none", () => {
  expect(tonesArmWords({ machine: "Machine A", discrimination: "iron-silenced" })).toBe(
    "Machine A, iron silenced",
  );
  expect(tonesArmWords({ machine: "Machine B", discrimination: "not-stated" })).toBe(
    "Machine B, discrimination not stated",
  );
  expect(tonesArmWords({ machine: "Machine A", discrimination: "none" })).toBe("Machine A");
  expect(tonesArmWords({ machine: "Machine A" })).toBe("Machine A");
  expect(() => tonesArmWords({ machine: "Machine A", discrimination: "some" })).toThrow(RangeError);
});
