/** A complex number. */
export interface Complex {
  readonly re: number;
  readonly im: number;
}

/** a + b. */
export const plus = (a: Complex, b: Complex): Complex => ({ re: a.re + b.re, im: a.im + b.im });

/** a - b. */
export const minus = (a: Complex, b: Complex): Complex => ({ re: a.re - b.re, im: a.im - b.im });

/** a b. */
export const times = (a: Complex, b: Complex): Complex => ({
  re: a.re * b.re - a.im * b.im,
  im: a.re * b.im + a.im * b.re,
});

/** s a, for a real s. */
export const scaled = (a: Complex, s: number): Complex => ({ re: s * a.re, im: s * a.im });

/** a / b by Smith's method (1962, Commun. ACM 5:435), which does not overflow where the quotient exists. */
export function over(a: Complex, b: Complex): Complex {
  if (Math.abs(b.re) >= Math.abs(b.im)) {
    const ratio = b.im / b.re, scale = b.re + b.im * ratio;
    return { re: (a.re + a.im * ratio) / scale, im: (a.im - a.re * ratio) / scale };
  }
  const ratio = b.re / b.im, scale = b.re * ratio + b.im;
  return { re: (a.re * ratio + a.im) / scale, im: (a.im * ratio - a.re) / scale };
}

/** exp(a). */
export function exponential(a: Complex): Complex {
  const size = Math.exp(a.re);
  return { re: size * Math.cos(a.im), im: size * Math.sin(a.im) };
}

/** |a|. */
export const size = (a: Complex): number => Math.hypot(a.re, a.im);

/**
 * The phase lag of a moment with time factor exp(+i w t), in degrees, from above -180 to 180: 0 is lossless iron, 180 a perfect
 * conductor.
 */
export const phaseLagDeg = (moment: Complex): number => Math.atan2(-moment.im, moment.re) * 180 / Math.PI;
