import { checkProbability, checkValues } from "./_check_values.ts";
import { FEW, placeNumber } from "./_place_number.ts";
import { sortNumbers } from "./sort_numbers.ts";

/** The nine definitions of a sample quantile in Hyndman and Fan (1996). */
export type QuantileType = 1 | 2 | 3 | 4 | 5 | 6 | 7 | 8 | 9;

export interface QuantileOptions {
  /** Definition of the quantile, 1 to 9. Default 7: a straight line between the order statistics, minimum at 0, maximum at 1. */
  readonly type?: QuantileType;
}

/**
 * Gives the sample quantile of some numbers: the value below which a share p of them lies.
 *
 * @param values Finite numbers in any order, at least one; missing values are refused, so leave them out first.
 * @param p Share, 0 to 1.
 * @returns A number between the smallest and the largest value, in the unit of the values.
 *
 * Types 1 to 3 return order statistics or the mean of two; 4 to 9 draw a line between two. A position is taken as
 * whole when it is within four units of rounding of a whole number, so that 0.1 of 30 is the third value.
 * Source: Hyndman and Fan (1996), American Statistician 50:361-365.
 *
 * Throws RangeError for no values, a value that is not finite, p outside 0 to 1, or an unknown type.
 *
 * @example
 * ```ts
 * import { quantile } from "overiron";
 * if (quantile([4, 1, 3, 2], 0.5) !== 2.5) throw new Error("wrong");
 * if (quantile([4, 1, 3, 2], 0.5, { type: 1 }) !== 2) throw new Error("wrong");
 * ```
 */
export function quantile(values: ArrayLike<number>, p: number, options: QuantileOptions = {}): number {
  const { type = 7 } = options;
  checkValues("take a quantile", values);
  checkProbability("take a quantile", "p", p);
  if (!Number.isInteger(type) || type < 1 || type > 9) {
    throw new RangeError(`Cannot take a quantile: type must be a whole number from 1 to 9, got ${type}`);
  }
  const n = values.length;
  const position = n * p + shift(type, p);
  const nearest = Math.round(position);
  const whole = Math.abs(position - nearest) <= 4 * Number.EPSILON * Math.max(1, n);
  const below = whole ? nearest : Math.floor(position);
  const fraction = whole ? 0 : position - below;
  const ordered = inOrderAt(new Float64Array(values), Math.min(Math.max(below, 1), n) - 1);
  // Value number k, counted from 1; beyond the ends the end value stands.
  const at = (k: number): number => ordered[Math.min(Math.max(k, 1), n) - 1]!;
  if (type === 1) return fraction > 0 ? at(below + 1) : at(below);
  if (type === 2) return fraction > 0 ? at(below + 1) : (at(below) + at(below + 1)) / 2;
  if (type === 3) return fraction > 0 || below % 2 !== 0 ? at(below + 1) : at(below);
  const low = at(below), high = at(below + 1);
  return low + fraction * (high - low);
}

/** Numbers of which those at a place and the next stand as if all were sorted. */
function inOrderAt(values: Float64Array, place: number): Float64Array {
  if (values.length <= FEW) return sortNumbers(values);
  placeNumber(values, place);
  return place + 1 < values.length ? placeNext(values, place + 1) : values;
}

/** Puts the least of the numbers from a place on to that place. */
function placeNext(values: Float64Array, place: number): Float64Array {
  let least = place;
  for (let i = place + 1; i < values.length; i++) if (values[i]! < values[least]!) least = i;
  const held = values[place]!;
  values[place] = values[least]!;
  values[least] = held;
  return values[place] === 0 ? values.sort() : values;
}

/** The amount that a definition adds to n p to give the position among the sorted values, counted from 1. */
function shift(type: QuantileType, p: number): number {
  switch (type) {
    case 3:
      return -0.5;
    case 5:
      return 0.5;
    case 6:
      return p;
    case 7:
      return 1 - p;
    case 8:
      return (p + 1) / 3;
    case 9:
      return p / 4 + 3 / 8;
    default:
      return 0;
  }
}
