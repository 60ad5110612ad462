// Values of textbook induction physics, each worked out by a route other than the code's own. Tolerances are those of double precision
// carried through a few dozen operations, unless a line says otherwise.
import { describe, expect, test } from "vitest";
import {
  besselRatio,
  closedFormDrag,
  demagnetisingFactor,
  DISC_TERMS,
  discFunction,
  kernelHalfWidthCm,
  layObject,
  loopField,
  METALS,
  phaseLagDeg,
  rodResponse,
  sphereFunction,
  sphereResponse,
  sweepSignal,
} from "../../lib/virtual/mod.ts";

const near = (got: number, want: number, relative: number): void =>
  expect(Math.abs(got - want), `got ${got}, want ${want}`).toBeLessThanOrEqual(relative * Math.abs(want));

describe("sphere", () => {
  // Wait 1951, Geophysics 16:666; values by coth to 50 digits, by the power series of i1 and by collocation of the boundary problem.
  const values: [mu: number, ka: number, x: number, y: number][] = [
    [1, 0.1, 6.3491999358732e-7, 0.00066666603174668],
    [1, 1, 0.0062857240464361, 0.066038173277964],
    [1, 3.4, 0.36503589749121, 0.3551433552408],
    [1, 5, 0.57573907916198, 0.30528386544694],
    [1, 30, 0.92928932188135, 0.067377344785321],
    [1, 300, 0.99292893218813, 0.0070377344785321],
    [100, 1, -1.9410007817308, 0.0057590407205956],
    [100, 10, -1.7881831876892, 0.18189575517772],
    [200, 20, -1.7893199142914, 0.18368466845028],
    [100, 1000, 0.78971015629135, 0.18423472430889],
  ];
  test.each(values)("sphereFunction() at mu_r %s, ka %s", (mu, ka, x, y) => {
    const got = sphereFunction(ka, mu);
    near(got.re, x, 1e-12);
    near(got.im, y, 1e-12);
  });

  test("sphereFunction() has the largest Y of a copper ball at (ka)^2 = 11.6087, and X = Y at 11.2048", () => {
    const y = (square: number) => sphereFunction(Math.sqrt(square), 1).im;
    expect(y(11.6087099356)).toBeGreaterThan(y(11.6087099356 - 0.01));
    expect(y(11.6087099356)).toBeGreaterThan(y(11.6087099356 + 0.01));
    const peak = sphereFunction(Math.sqrt(11.6087099356), 1);
    near(peak.im, 0.355145609775, 1e-10);
    near(peak.re, 0.366386811262, 1e-10);
    near(180 - Math.atan2(peak.im, peak.re) * 180 / Math.PI, 135.89257, 1e-7);
    const equal = sphereFunction(Math.sqrt(11.2048158758), 1);
    near(equal.re, equal.im, 1e-9);
  });

  test("sphereFunction() of very permeable iron has no in-phase part at ka/mu_r = 1.81129", () => {
    // A limit for mu_r to infinity: at mu_r = 1e6 the next order is one in 1e6 or so.
    expect(Math.abs(sphereFunction(1.8112913643045987 * 1e6, 1e6).re)).toBeLessThan(1e-5);
  });

  test("sphereFunction() is the same from both routes where they meet", () => {
    const a = sphereFunction(8 - 1e-9, 50), b = sphereFunction(8 + 1e-9, 50);
    near(a.re, b.re, 1e-8);
    near(a.im, b.im, 1e-8);
  });

  test("sphereResponse() tends to 4 pi a^3 (mu_r - 1)/(mu_r + 2) at direct current, -2 pi a^3 for a perfect conductor", () => {
    const slow = sphereResponse({ radiusMm: 10 }, {
      conductivitySPerM: 1e-3,
      relativePermeability: 100,
      frequencyHz: 1,
    });
    near(slow.axial.re, 4 * Math.PI * 1e-6 * 99 / 102, 1e-10);
    const perfect = sphereResponse({ radiusMm: 10 }, {
      conductivitySPerM: 1e18,
      relativePermeability: 1,
      frequencyHz: 1e6,
    });
    near(perfect.axial.re, -2 * Math.PI * 1e-6, 1e-6);
    expect(Math.abs(perfect.axial.im / perfect.axial.re)).toBeLessThan(1e-6);
  });
});

describe("disc", () => {
  test("DISC_TERMS weights sum to 1 and give the slow limit 3 pi/64", () => {
    // The slow limit is exact for a thin disc: m = -i w mu0 sigma t pi a^4/8 H0 (textbook), so sum w T = (pi/8)/(8/3) = 3 pi/64.
    near(DISC_TERMS.weights.reduce((sum, w) => sum + w, 0), 1, 1e-14);
    near(
      DISC_TERMS.weights.reduce((sum, w, n) => sum + w * DISC_TERMS.times[n]!, 0),
      3 * Math.PI / 64,
      1e-13,
    );
  });

  test("DISC_TERMS has its slowest time at 1/5.51", () => {
    // Lamb 1887, Grant and West 1965, from memory: tau = mu0 sigma t a/5.51
    expect(DISC_TERMS.times[0]).toBeCloseTo(1 / 5.51, 4);
    near(DISC_TERMS.times[0], 0.1815043612908805, 1e-13);
    [0.08485870431120666, 0.05535349873617592, 0.04107073622797365, 0.032646547911116944].forEach((t, i) =>
      near(DISC_TERMS.times[i + 1]!, t, 1e-13)
    );
    [
      0.7248175166774541,
      0.12455160417594739,
      0.048147921769681454,
      0.025131394816824082,
      0.015342401477902955,
    ].forEach((w, i) => near(DISC_TERMS.weights[i]!, w, 1e-13));
  });

  test("discFunction() is that of a perfect conductor in the fast limit, moment -8/3 a^3", () => {
    const fast = discFunction({ re: 1e12, im: 0 });
    near(-8 / 3 * fast.re, -2.6666666666666665, 1e-10);
  });
});

describe("rod", () => {
  // I1/I0 along the 45 degree line: scipy 1.17.1, special.ive(1, z)/special.ive(0, z), z = r exp(i pi/4).
  test.each([
    [0.1, 0.035399459449816324, 0.03531107135536304],
    [1, 0.38936491823463515, 0.3034351162803952],
    [5, 0.9292331114260928, 0.0750551309357729],
    [20, 0.982334687201474, 0.01800111024195407],
    [59, 0.9940080165371925, 0.00602876950998374],
    [61, 0.9942044466312862, 0.00582993939036676],
    [200, 0.998232244218545, 0.0017709030005955936],
  ] as [number, number, number][])("besselRatio() at |z| = %s", (length, re, im) => {
    const got = besselRatio({ re: length * Math.SQRT1_2, im: length * Math.SQRT1_2 });
    near(got.re, re, 1e-11);
    near(got.im, im, 2e-9); // the imaginary part is the smaller: 1e-11 of the whole
  });

  // Osborn 1945 and Stoner 1945 tabulate these factors (from memory); digits by the closed form in 50 digits.
  test.each([
    [1, 0.3333333333333333],
    [2, 0.17356399753396423],
    [5, 0.055820969802455225],
    [10, 0.020285880301563825],
    [20, 0.006749054754609113],
    [25, 0.00467108305063864],
    [50, 0.0014429737740757496],
  ] as [number, number][])(
    "demagnetisingFactor() at aspect %s",
    (aspect, factor) => near(demagnetisingFactor(aspect), factor, 1e-12),
  );

  test("demagnetisingFactor() of a flat lens tends to 1, and the three factors sum to 1 near the ball", () => {
    expect(demagnetisingFactor(1e-6)).toBeGreaterThan(0.99999);
    // The series and the closed forms meet: no step across the change from one to the other.
    for (const edge of [Math.sqrt(0.98), Math.sqrt(1.02)]) {
      const slope = (demagnetisingFactor(edge * 1.001) - demagnetisingFactor(edge * 0.999)) / (0.002 * edge);
      expect(slope).toBeGreaterThan(-0.29);
      expect(slope).toBeLessThan(-0.24);
    }
  });

  // Iron of mu_r 100 and 6e6 S/m at 8 kHz. mu0 differs in the tenth digit between tables, so 1e-9.
  test.each(
    [[
      30.0,
      1.8,
      [1.7178791485920124e-06, -1.0998490673922307e-06],
      [1.4324333081408941e-07, -1.1180890978340616e-08],
      32.62885818255599,
      4.463185702930234,
    ], [
      65.0,
      3.0,
      [6.4956383910116325e-06, -5.479698458908263e-06],
      [8.116137133049659e-07, -1.068517714722726e-07],
      40.15086510323933,
      7.500055447067019,
    ]] as [
      number,
      number,
      number[],
      number[],
      number,
      number,
    ][],
  )(
    "rodResponse() of a nail of %s by %s mm",
    (lengthMm, diameterMm, axial, transverse, phaseAxial, phaseAcross) => {
      const got = rodResponse({ lengthMm, diameterMm }, { ...METALS.wroughtIron, frequencyHz: 8000 });
      near(got.axial.re, axial[0]!, 1e-9);
      near(got.axial.im, axial[1]!, 1e-9);
      near(got.transverse.re, transverse[0]!, 1e-9);
      near(got.transverse.im, transverse[1]!, 1e-9);
      near(phaseLagDeg(got.axial), phaseAxial, 1e-9);
      near(phaseLagDeg(got.transverse), phaseAcross, 1e-9);
    },
  );
});

describe("loop", () => {
  // 20,000 point Biot-Savart sum.
  test.each(
    [[0.05, 0, 0.1, [0.5010922091966777, 0.0, 1.8274766557140445]], [0.13, 0.02, 0.05, [
      2.7929188900465887,
      0.42967982923793674,
      1.739465204983237,
    ]]] as [number, number, number, number[]][],
  )(
    "loopField() at (%s, %s, %s)",
    (x, y, zM, field) => {
      const rhoM = Math.hypot(x, y);
      const got = loopField(0.14, { rhoM, zM });
      near(got.radial * x / rhoM, field[0]!, 1e-12);
      if (y !== 0) near(got.radial * y / rhoM, field[1]!, 1e-12);
      near(got.axial, field[2]!, 1e-12);
    },
  );

  test.each(
    [[0, 3.5714285714285707], [0.05, 2.9828929326533316], [0.1, 1.9243696954213325]] as [number, number][],
  )("loopField() on the axis at %s", (zM, axial) => {
    const got = loopField(0.14, { rhoM: 0, zM });
    near(got.axial, axial, 1e-12);
    near(got.axial, 0.14 ** 2 / (2 * (0.14 ** 2 + zM ** 2) ** 1.5), 1e-12);
    expect(got.radial).toBe(0);
  });

  test("loopField() far away is that of a dipole", () => {
    const r = 50, angle = 0.7;
    const got = loopField(0.1, { rhoM: r * Math.sin(angle), zM: r * Math.cos(angle) });
    const moment = Math.PI * 0.01 / (4 * Math.PI * r ** 3);
    near(got.axial, moment * (3 * Math.cos(angle) ** 2 - 1), 1e-4);
    near(got.radial, moment * 3 * Math.sin(angle) * Math.cos(angle), 1e-4);
  });
});

describe("drag", () => {
  test.each([
    [0.1, 60, 0.07858339923247026],
    [1, 60, 0.5],
    [2, 60, 0.6815565774855151],
    [0.1, 90, 0.06345103486110715],
    [0.5, 90, 0.2951672353008665],
    [2, 90, 0.7048327646991335],
    [5, 90, 0.8743340836219977],
    [0.5, 130, 0.22647279955836808],
    [1, 130, 0.5],
    [5, 130, 0.923297636652204],
    [0.1, 155, 0.017166690217623497],
    [1, 155, 0.5],
    [2, 155, 0.8636952088004574],
  ] as [number, number, number][])(
    "closedFormDrag() at ratio %s and %s degrees",
    (ratio, delta, drag) => near(closedFormDrag(ratio, delta), drag, 1e-12),
  );

  // Near R = 1 the drag runs as R^n/(1 + R^n): n is four times its slope in ln R.
  test.each([
    [30, 1.0234905233494715],
    [60, 1.1026577908435842],
    [90, 1.2732395447351625],
    [120, 1.6539866862653758],
    [150, 2.851076802694496],
    [165, 5.275207913676218],
  ] as [number, number][])(
    "closedFormDrag() at %s degrees has the slope of a Hill curve",
    (delta, exponent) => {
      const step = 1e-4;
      const slope = (closedFormDrag(Math.exp(step), delta) - closedFormDrag(Math.exp(-step), delta)) /
        (2 * step);
      near(4 * slope, exponent, 1e-5); // central difference: error of order step^2 n^3
    },
  );
});

describe("half width", () => {
  // Share of coil and depth fitted to the exact field of a loop and a receiver of half its size; the limit for a deep dipole is 0.4518 z.
  test("kernelHalfWidthCm() agrees with the distance at which the exact signal of a ball has halved", () => {
    const ball = sphereResponse({ radiusMm: 5 }, { ...METALS.lead, frequencyHz: 8000 });
    for (const [diameterCm, depthCm] of [[28, 10], [24, 15], [20, 8]] as const) {
      const signal = sweepSignal([layObject(ball, { depthCm })], { winding: "concentric", diameterCm }, {
        coilHeightCm: 0,
        fromCm: 0,
        toCm: 20,
        positions: 2001,
      });
      const half = signal.re.findIndex((value) => Math.abs(value) < Math.abs(signal.re[0]!) / 2) * 0.01;
      near(kernelHalfWidthCm(diameterCm, depthCm), half, 0.06); // a fit in two constants, held to 6 %
    }
  });

  test("a ball far below a coil halves at 0.4518 of its depth", () => {
    const ball = sphereResponse({ radiusMm: 5 }, { ...METALS.lead, frequencyHz: 8000 });
    const signal = sweepSignal(
      [layObject(ball, { depthCm: 1000 })],
      { winding: "concentric", diameterCm: 5 },
      {
        coilHeightCm: 0,
        fromCm: 0,
        toCm: 600,
        positions: 6001,
      },
    );
    const half = signal.re.findIndex((value) => Math.abs(value) < Math.abs(signal.re[0]!) / 2) * 0.1;
    near(half, 0.45176834 * 1000, 5e-4);
  });
});
