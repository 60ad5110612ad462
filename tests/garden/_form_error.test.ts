import { describe, expect, test } from "vitest";
import { stretchForBias } from "../../lib/garden/_form_error.ts";

describe("stretchForBias()", () => {
  test("is 1 without bias, and the published critical values over 1.96 with it", () => {
    expect(stretchForBias(0)).toBeCloseTo(1, 9);
    // Critical values at 95 % for a bias of 0.5, 1 and 2 standard errors: 2.18, 2.65, 3.64 (Armstrong and Kolesár 2018, table 1, from memory;
    // for large bias 1.645 + bias).
    expect(stretchForBias(0.5) * 1.959964).toBeCloseTo(2.18, 2);
    expect(stretchForBias(1) * 1.959964).toBeCloseTo(2.65, 2);
    expect(stretchForBias(2) * 1.959964).toBeCloseTo(3.65, 1);
    expect(stretchForBias(5) * 1.959964).toBeCloseTo(6.645, 2);
  });
});
