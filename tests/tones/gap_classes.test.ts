import { describe, expect, test } from "vitest";
import { gapClasses, gapClassOf } from "../../lib/tones/gap_classes.ts";

describe("gapClasses()", () => {
  test("names every class and leaves no gap out", () => {
    const classes = gapClasses([2, 4]);
    expect([0, 1.99, 2, 3.9, 4, 400].map((gap) => gapClassOf(gap, classes))).toEqual([
      "under 2 cm",
      "under 2 cm",
      "2 to under 4 cm",
      "2 to under 4 cm",
      "4 cm or more",
      "4 cm or more",
    ]);
    expect(gapClassOf(null, classes)).toBe("gap not logged");
    expect(gapClassOf(7, gapClasses([]))).toBe("any gap");
  });
  test("refuses edges that do not ascend", () => {
    expect(() => gapClasses([4, 2])).toThrow(
      new RangeError("Cannot make gap classes: edges must be above 0 and ascend, got 4, 2"),
    );
    expect(() => gapClasses([0])).toThrow(RangeError);
    expect(() => gapClasses([NaN])).toThrow(RangeError);
  });
});
