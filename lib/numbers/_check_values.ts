/** Throws unless every value is a finite number and there are at least `least` of them. */
export function checkValues(doing: string, values: ArrayLike<number>, least = 1): void {
  if (values.length < least) {
    throw new RangeError(
      `Cannot ${doing}: need at least ${least} value${least > 1 ? "s" : ""}, got ${values.length}`,
    );
  }
  for (let i = 0; i < values.length; i++) {
    if (typeof values[i] !== "number" || !Number.isFinite(values[i])) {
      throw new RangeError(
        `Cannot ${doing}: every value must be a finite number, got ${values[i]} at index ${i}`,
      );
    }
  }
}

/** Throws unless a confidence level lies strictly between 0 and 1. */
export function checkLevel(doing: string, level: number): void {
  if (!(level > 0 && level < 1)) {
    throw new RangeError(`Cannot ${doing}: level must be between 0 and 1, got ${level}`);
  }
}

/** Throws unless a count is a whole number of 0 or above. */
export function checkCount(doing: string, name: string, count: number): void {
  if (!Number.isSafeInteger(count) || count < 0) {
    throw new RangeError(`Cannot ${doing}: ${name} must be a whole number of 0 or above, got ${count}`);
  }
}

/** Throws unless a probability lies in [0, 1]. */
export function checkProbability(doing: string, name: string, probability: number): void {
  if (!(probability >= 0 && probability <= 1)) {
    throw new RangeError(`Cannot ${doing}: ${name} must be from 0 to 1, got ${probability}`);
  }
}

/** Throws unless two columns have one length. */
export function checkSameLength(
  doing: string,
  names: readonly [string, string],
  lengths: readonly [number, number],
): void {
  if (lengths[0] !== lengths[1]) {
    throw new RangeError(
      `Cannot ${doing}: ${names[0]} and ${names[1]} must be equally long, got ${lengths[0]} and ${
        lengths[1]
      }`,
    );
  }
}
