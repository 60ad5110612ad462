import { expect } from "vitest";

/** Fails unless the two numbers differ by at most `tolerance` times the expected one (or absolutely, where that is 0). */
export function expectRelative(actual: unknown, expected: number, tolerance: number): void {
  expect(typeof actual).toBe("number");
  const scale = expected === 0 ? 1 : Math.abs(expected);
  const error = Math.abs((actual as number) - expected) / scale;
  expect(error, `got ${actual}, expected ${expected}, relative ${error}`).toBeLessThanOrEqual(tolerance);
}

/** Fails unless the two numbers differ by at most `tolerance`. */
export function expectAbsolute(actual: unknown, expected: number, tolerance: number): void {
  expect(typeof actual).toBe("number");
  const error = Math.abs((actual as number) - expected);
  expect(error, `got ${actual}, expected ${expected}`).toBeLessThanOrEqual(tolerance);
}

/** The number inside an estimate or a measure; fails where it is absent. */
export function valueOf(result: object): number {
  if (!("value" in result)) expect.fail(`Expected a value, got ${JSON.stringify(result)}`);
  return result.value as number;
}
