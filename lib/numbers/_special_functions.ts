/**
 * Special functions behind the distributions, accurate to about 1e-14 relative.
 * Binomial densities by the saddle-point form (Loader 2000, "Fast and accurate computation of binomial probabilities"), so that
 * large parameters lose no digits; the incomplete beta by the even part of its continued fraction (DLMF 8.17.22), the incomplete gamma by series
 * (DLMF 8.7.1) and continued fraction (DLMF 8.9.2), both summed by Lentz's method (Thompson and Barnett 1986).
 */

const halfLogTwoPi = 0.9189385332046727;

/** Natural logarithm of the gamma function for x above 0: Stirling's series (DLMF 5.11.1) after shifting x above 15. */
export function logGamma(x: number): number {
  let shift = 1;
  while (x < 15) shift *= x++;
  return (x - 0.5) * Math.log(x) - x + halfLogTwoPi + stirlingTail(x) - Math.log(shift);
}

/** What Stirling's formula leaves out of log gamma at x, for x of 15 and above. */
function stirlingTail(x: number): number {
  const s = 1 / (x * x);
  return (1 / 12 - s * (1 / 360 - s * (1 / 1260 - s * (1 / 1680 - s * (1 / 1188 - s * 691 / 360360))))) / x;
}

/** log(n!) - log of Stirling's approximation to it, for real n of 0 or above. */
function stirlingError(n: number): number {
  if (n >= 15) return stirlingTail(n);
  if (n === 0) return Infinity;
  return logGamma(n + 1) - (n + 0.5) * Math.log(n) + n - halfLogTwoPi;
}

/** x log(x / m) + m - x, without cancellation where x is near m. */
function deviancePart(x: number, m: number): number {
  if (Math.abs(x - m) < 0.1 * (x + m)) {
    const v = (x - m) / (x + m);
    let sum = (x - m) * v;
    let term = 2 * x * v;
    for (let j = 1; j < 1000; j++) {
      term *= v * v;
      const next = sum + term / (2 * j + 1);
      if (next === sum) return sum;
      sum = next;
    }
    return sum;
  }
  return x * Math.log(x / m) + m - x;
}

/** x^a y^b / B(a, b) with y = 1 - x. */
function betaFront(a: number, b: number, x: number, y: number): number {
  if (x === 0 || y === 0) return 0;
  const n = a + b;
  const exponent = stirlingError(n) - stirlingError(a) - stirlingError(b) - deviancePart(a, n * x) -
    deviancePart(b, n * y);
  return Math.sqrt(a * b / (2 * Math.PI * n)) * Math.exp(exponent);
}

/** Density of the beta distribution at x, with y = 1 - x. */
export function betaDensity(a: number, b: number, x: number, y: number): number {
  return betaFront(a, b, x, y) / (x * y);
}

/** The regularised incomplete beta function I_x(a, b); y = 1 - x is asked for so that it can be exact near 1. */
export function incompleteBeta(a: number, b: number, x: number, y: number = 1 - x): number {
  if (x <= 0) return 0;
  if (y <= 0) return 1;
  if (x > (a + 1) / (a + b + 2)) return 1 - betaFraction(b, a, y, x);
  return betaFraction(a, b, x, y);
}

function betaFraction(a: number, b: number, x: number, y: number): number {
  const tiny = 1e-300;
  // a y - b x + 1 is kept in this form: with 1 - x in place of y it would cancel where a is large.
  const term = (m: number): number =>
    m + (m > 0 ? m * (b - m) * x / (a + 2 * m - 1) : 0) +
    (a + m) * (a * y - b * x + 1 + m * (1 + y)) / (a + 2 * m + 1);
  let h = term(0);
  if (Math.abs(h) < tiny) h = tiny;
  let c = h, d = 0;
  for (let m = 1; m < 100_000; m++) {
    const step = (a + m - 1) * (a + b + m - 1) * m * (b - m) * x * x / (a + 2 * m - 1) ** 2;
    d = term(m) + step * d;
    d = 1 / (Math.abs(d) < tiny ? tiny : d);
    c = term(m) + step / c;
    if (Math.abs(c) < tiny) c = tiny;
    h *= d * c;
    if (Math.abs(d * c - 1) < 1e-16) break;
  }
  return betaFront(a, b, x, y) / h;
}

/** The regularised upper incomplete gamma function Q(a, x). */
export function upperIncompleteGamma(a: number, x: number): number {
  if (x <= 0) return 1;
  // x^a exp(-x) / gamma(a), again by the saddle-point form.
  const front = a * Math.exp(-stirlingError(a) - deviancePart(a, x)) / Math.sqrt(2 * Math.PI * a);
  if (x < a + 1) {
    let term = 1 / a, sum = term;
    for (let k = 1; k < 100_000 && term > sum * 1e-17; k++) {
      term *= x / (a + k);
      sum += term;
    }
    return 1 - front * sum;
  }
  const tiny = 1e-300;
  let b = x + 1 - a;
  let c = 1 / tiny;
  let d = 1 / b;
  let h = d;
  for (let k = 1; k < 100_000; k++) {
    const step = -k * (k - a);
    b += 2;
    d = step * d + b;
    d = 1 / (Math.abs(d) < tiny ? tiny : d);
    c = b + step / c;
    if (Math.abs(c) < tiny) c = tiny;
    h *= d * c;
    if (Math.abs(d * c - 1) < 1e-16) break;
  }
  return front * h;
}

/**
 * Finds where an increasing function reaches a target, from a first guess: Newton steps, with halving of the bracket
 * wherever a step would leave it. `low` and `high` must enclose the answer.
 */
export function solveIncreasing(
  value: (x: number) => number,
  slope: (x: number) => number,
  target: number,
  [low, guess, high]: readonly [number, number, number],
): number {
  let x = guess;
  for (let i = 0; i < 400; i++) {
    const miss = value(x) - target;
    if (miss === 0) return x;
    if (miss > 0) high = x;
    else low = x;
    let next = x - miss / slope(x);
    if (!(next > low && next < high)) next = low + (high - low) / 2;
    if (Math.abs(next - x) <= 2e-16 * Math.abs(next) || next === low || next === high) return next;
    x = next;
  }
  return x;
}
