import { describe, expect, test } from "vitest";
import { LEAST_CASES, whatCountsAllow } from "../../lib/model/what_counts_allow.ts";

const outcomes = (ferrous: number, plain: number, masked: number) =>
  Uint8Array.from([...Array(ferrous).fill(0), ...Array(plain).fill(1), ...Array(masked).fill(2)]);

describe("whatCountsAllow()", () => {
  test("a dozen masked goods cannot carry a class of their own", () => {
    expect(whatCountsAllow(outcomes(100, 50, 12)).classes).toBe("two");
    expect(whatCountsAllow(outcomes(100, 50, LEAST_CASES - 1)).classes).toBe("two");
    expect(whatCountsAllow(outcomes(100, 50, LEAST_CASES)).classes).toBe("three");
  });
  test("too few of either kind leaves the simple rules, one kind leaves nothing", () => {
    expect(whatCountsAllow(outcomes(100, 10, 9)).classes).toBe("rules");
    expect(whatCountsAllow(outcomes(19, 50, 50)).classes).toBe("rules");
    expect(whatCountsAllow(outcomes(30, 0, 0)).classes).toBe("none");
    expect(whatCountsAllow(outcomes(0, 0, 0)).classes).toBe("none");
  });
  test("says the counts and what is needed", () => {
    expect(whatCountsAllow(outcomes(52, 15, 12)).reason).toMatch(
      /52 ferrous, 15 non-ferrous and 12 masked good/,
    );
  });
});
