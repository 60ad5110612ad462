// Claims about the physics as a whole, over random cases of our own.
import { describe, expect, test } from "vitest";
import { chance } from "../../lib/numbers/chance.ts";
import {
  afterQuarterTurn,
  closedFormDrag,
  discResponse,
  fieldTables,
  highPass,
  layObject,
  METALS,
  phaseLagDeg,
  phaseToReading,
  readSweep,
  rodResponse,
  sphereResponse,
  sweepSignal,
} from "../../lib/virtual/mod.ts";

const at = { frequencyHz: 8000 };
const nail = rodResponse({ lengthMm: 60, diameterMm: 4 }, { ...METALS.wroughtIron, ...at });
const coin = discResponse({ radiusMm: 12, thicknessMm: 1.5 }, { ...METALS.copper, ...at });
const ball = sphereResponse({ radiusMm: 7 }, { ...METALS.lead, ...at });
const concentric = { winding: "concentric", diameterCm: 28 } as const;
const overlapped = { winding: "overlapped", diameterCm: 28 } as const;

test("closedFormDrag() is one half at equal loudness, whatever the phases (500 random cases)", () => {
  const draw = chance(7, "test/drag");
  for (let i = 0; i < 500; i++) expect(closedFormDrag(1, 0.01 + 179.98 * draw.next())).toBeCloseTo(0.5, 12);
});

test("the sum of two signals has drag one half where both are equally loud (200 random pairs, exact signals)", () => {
  const draw = chance(7, "test/pairs");
  let met = 0;
  while (met < 200) {
    const target = draw.next() < 0.5 ? coin : ball;
    const rod = rodResponse({ lengthMm: 30 + 60 * draw.next(), diameterMm: 2 + 4 * draw.next() }, {
      ...METALS.wroughtIron,
      ...at,
    });
    const depthCm = 4 + 12 * draw.next(), coil = draw.next() < 0.5 ? concentric : overlapped;
    const laid = {
      shape: "rod",
      depthCm,
      headingDeg: 360 * draw.next(),
      tiltDeg: 90 * draw.next(),
      xCm: 10 * draw.next(),
    } as const;
    const one = { fromCm: -0.01, toCm: 0.01, positions: 3 };
    const t = sweepSignal([layObject(target, { depthCm })], coil, one);
    const n = sweepSignal([layObject(rod, laid)], coil, one);
    const tSize = Math.hypot(t.re[1]!, t.im[1]!), nSize = Math.hypot(n.re[1]!, n.im[1]!);
    if (nSize === 0) continue;
    const s = tSize / nSize; // the neighbour made as loud as the target
    const tLag = phaseLagDeg({ re: t.re[1]!, im: t.im[1]! });
    const nLag = phaseLagDeg({ re: n.re[1]!, im: n.im[1]! });
    const sum = phaseLagDeg({ re: t.re[1]! + s * n.re[1]!, im: t.im[1]! + s * n.im[1]! });
    if (Math.abs(tLag - nLag) > 179 || Math.abs(tLag - nLag) < 1) continue;
    expect((tLag - sum) / (tLag - nLag)).toBeCloseTo(0.5, 9);
    met++;
  }
});

describe("sweepSignal()", () => {
  test("is the same with transmitter and receiver exchanged (reciprocity): mirroring an overlapped coil mirrors the sweep", () => {
    const laid = { shape: "rod", depthCm: 8, tiltDeg: 25, headingDeg: 30 } as const;
    const one = sweepSignal([layObject(nail, laid)], overlapped, { positions: 101 });
    const other = sweepSignal([layObject(nail, { ...laid, headingDeg: 150 })], overlapped, {
      positions: 101,
    });
    const peak = Math.max(...one.re.map(Math.abs));
    one.re.forEach((value, i) => expect(Math.abs(value - other.re[100 - i]!) / peak).toBeLessThan(1e-12));
  });

  test("has the target's own phase at every position for a ball", () => {
    const { re, im } = sweepSignal([layObject(ball)], concentric);
    re.forEach((value, i) => {
      if (Math.hypot(value, im[i]!) > 1e-12) {
        expect(Math.abs(phaseLagDeg({ re: value, im: im[i]! })) % 180).toBeCloseTo(
          phaseLagDeg(ball.axial),
          6,
        );
      }
    });
  });

  test("under overlapped windings a flat nail along the sweep reads as a conductor, under concentric ones it does not", () => {
    const laid = [layObject(nail, { shape: "rod", depthCm: 8 })];
    const read = (coil: typeof concentric | typeof overlapped) => {
      const { re, im } = sweepSignal(laid, coil, { fromCm: -0.1, toCm: 0.1, positions: 3 });
      return phaseToReading(phaseLagDeg({ re: re[1]!, im: im[1]! }), { low: 0, high: 600, step: 1 });
    };
    expect(read(overlapped)).toBeGreaterThan(500);
    expect(read(concentric)).toBeLessThan(150);
  });

  test("of a nail grows two to four times when it is tilted 30 degrees", () => {
    const loud = (tiltDeg: number) => {
      const { re, im } = sweepSignal([layObject(nail, { shape: "rod", depthCm: 8, tiltDeg })], concentric, {
        positions: 401,
      });
      return Math.max(...re.map((value, i) => Math.hypot(value, im[i]!)));
    };
    expect(loud(30) / loud(0)).toBeGreaterThan(2);
    expect(loud(30) / loud(0)).toBeLessThan(4);
  });

  test.each(
    [["concentric", 5, 1e-5], ["overlapped", 5, 1e-5], ["concentric", 3, 1e-4], [
      "overlapped",
      3,
      1e-4,
    ]] as const,
  )(
    "from tables under %s windings at %s cm is off by less than %s of its peak",
    (winding, depthCm, error) => {
      const coil = { winding, diameterCm: 28 };
      const laid = [layObject(nail, { shape: "rod", depthCm, tiltDeg: 30, headingDeg: 40 })];
      const options = { coilHeightCm: 0, positions: 997, offsetCm: 1.3 };
      const exact = sweepSignal(laid, coil, options);
      const tabled = sweepSignal(laid, coil, { ...options, tables: fieldTables(coil) });
      const peak = Math.max(...exact.re.map(Math.abs));
      exact.re.forEach((value, i) => expect(Math.abs(value - tabled.re[i]!)).toBeLessThan(error * peak));
    },
  );

  test("adds objects, and leaves them untouched", () => {
    const objects = Object.freeze([
      Object.freeze(layObject(coin)),
      Object.freeze(layObject(nail, { shape: "rod", xCm: 5, tiltDeg: 20 })),
    ]);
    const both = sweepSignal(objects, concentric);
    const apart = objects.map((object) => sweepSignal([object], concentric));
    both.re.forEach((value, i) => expect(value).toBeCloseTo(apart[0]!.re[i]! + apart[1]!.re[i]!, 18));
  });
});

test("afterQuarterTurn() four times gives the object back", () => {
  const laid = layObject(nail, { shape: "rod", xCm: 3, yCm: -2, headingDeg: 25, tiltDeg: 10 });
  let turned = laid;
  for (let i = 0; i < 4; i++) turned = afterQuarterTurn(turned);
  expect(turned.xCm).toBeCloseTo(3, 12);
  expect(turned.yCm).toBeCloseTo(-2, 12);
  turned.axis.forEach((value, i) => expect(value).toBeCloseTo(laid.axis[i]!, 12));
  expect(afterQuarterTurn(layObject(nail, { xCm: 4 })).yCm).toBe(-4);
});

describe("readSweep()", () => {
  const scene = [
    layObject(coin, { depthCm: 8 }),
    layObject(nail, { shape: "rod", xCm: 14, depthCm: 6, tiltDeg: 60, headingDeg: 0 }),
  ];
  const filtered = highPass(sweepSignal(scene, concentric, { fromCm: -60, toCm: 60, positions: 601 }), 28);

  test("gives the same in both directions where nothing depends on time", () => {
    expect(readSweep(filtered, { direction: 1 })).toEqual(readSweep(filtered, { direction: -1 }));
  });

  test("loses the weaker second peak to a slow recovery in the one direction only", () => {
    // A bump of height 1 at 0 and one of height 5 at 15 cm, met at 70 cm/s: 0.21 s apart, ln 5 = 1.61.
    const re = Float64Array.from(
      { length: 601 },
      (_, i) => Math.exp(-(((i - 300) / 20) ** 2)) + 5 * Math.exp(-(((i - 375) / 20) ** 2)),
    );
    const weak = { fromCm: -60, stepCm: 0.2, re, im: new Float64Array(601) };
    const slow = { recoveryS: 0.15, reachCm: 6 };
    expect(readSweep(weak, { ...slow, direction: 1 })).not.toBeNull(); // the small one is met first
    expect(readSweep(weak, { ...slow, direction: -1 })).toBeNull(); // the large one is met first
    expect(readSweep(weak, { ...slow, direction: -1, recoveryS: 0.13 })).not.toBeNull();
  });

  test("is silent below the threshold and out of reach", () => {
    expect(readSweep(filtered, { threshold: 1 })).toBeNull();
    expect(readSweep(filtered, { targetXCm: -50, reachCm: 3 })).toBeNull();
  });

  test("gives the same reading from one seed and others from another", () => {
    const read = (seed: number) =>
      readSweep(filtered, { noise: { size: 1e-7, draw: chance(seed, "test/noise") } });
    expect(read(1)).toEqual(read(1));
    expect(read(1)).not.toEqual(read(2));
  });
});

test("highPass() favours no direction: a mirrored sweep filters to the mirrored result", () => {
  const signal = sweepSignal([layObject(coin, { xCm: 3 })], concentric);
  const mirrored = { ...signal, re: signal.re.slice().reverse(), im: signal.im.slice().reverse() };
  const a = highPass(signal, 20).re, b = highPass(mirrored, 20).re.slice().reverse();
  const peak = Math.max(...a.map(Math.abs));
  a.forEach((value, i) => expect(Math.abs(value - b[i]!)).toBeLessThan(1e-12 * peak));
});

test("phaseToReading() shows lags outside the scale as the nearer end", () => {
  const scale = { low: 0, high: 600, step: 1 };
  expect([0, 90, 180, -1, 181, 269, 271, -91, -89].map((lag) => phaseToReading(lag, scale))).toEqual(
    [0, 300, 600, 0, 600, 600, 0, 600, 0],
  );
  expect(phaseToReading(93, { low: -200, high: 200, step: 5 })).toBe(5);
});
