import { type Complex, over, plus, times } from "./_complex.ts";

/**
 * Gives I1(z) / I0(z), the ratio of the modified Bessel functions of the first kind, for complex z with a real part of 0 or above.
 *
 * Below |z| = 60 by the continued fraction z/(2 + z^2/(4 + z^2/(6 + ...))) (Abramowitz and Stegun 1964, 9.1.73, in its modified
 * form), from the back, |z| + 40 terms; above it by the first terms of both asymptotic series divided (A&S 9.7.1). Neither function is
 * ever formed, so nothing overflows. Good to 1e-11.
 *
 * Throws RangeError when z is not finite or its real part is below 0.
 *
 * @example
 * ```ts
 * import { besselRatio } from "overiron";
 * const { re } = besselRatio({ re: 1, im: 0 }); // I1(1)/I0(1) = 0.565159104/1.266065878
 * if (Math.abs(re - 0.4463899659) > 1e-9) throw new Error("wrong");
 * ```
 */
export function besselRatio(z: Complex): Complex {
  const length = Math.hypot(z.re, z.im);
  if (!(length < Infinity && z.re >= 0)) {
    throw new RangeError(
      `Cannot compute Bessel ratio: z must be finite with re of 0 or above, got ${z.re} + ${z.im}i`,
    );
  }
  if (length < 60) {
    const square = times(z, z);
    let below: Complex = { re: 2 * (Math.ceil(length) + 40), im: 0 };
    for (let order = below.re - 2; order >= 2; order -= 2) {
      below = plus({ re: order, im: 0 }, over(square, below));
    }
    return over(z, below);
  }
  const inverse = over({ re: 1, im: 0 }, z);
  let sum: Complex = { re: 0, im: 0 };
  for (const term of [-1073 / 1024, -13 / 32, -25 / 128, -1 / 8, -1 / 8, -1 / 2, 1]) {
    sum = plus(times(sum, inverse), { re: term, im: 0 });
  }
  return sum;
}
