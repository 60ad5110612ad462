import { expect, test } from "vitest";
import {
  besselRatio,
  closedFormDrag,
  coilLoops,
  demagnetisingFactor,
  discFunction,
  discResponse,
  fieldTables,
  highPass,
  kernelHalfWidthCm,
  layObject,
  loopField,
  METALS,
  phaseToReading,
  readSweep,
  rodResponse,
  sphereFunction,
  sphereResponse,
  sweepSignal,
} from "../../lib/virtual/mod.ts";

const copper = { ...METALS.copper, frequencyHz: 8000 };
const coil = { winding: "concentric", diameterCm: 28 } as const;
const laid = layObject(discResponse({ radiusMm: 12, thicknessMm: 1.5 }, copper));
const signal = sweepSignal([laid], coil);

test.each<[string, () => unknown, string]>([
  [
    "negative radius",
    () => sphereResponse({ radiusMm: -3 }, copper),
    "Cannot compute sphere: radiusMm must be above 0, got -3",
  ],
  [
    "zero thickness",
    () => discResponse({ radiusMm: 12, thicknessMm: 0 }, copper),
    "Cannot compute disc: thicknessMm must be above 0, got 0",
  ],
  [
    "disc thicker than wide",
    () => discResponse({ radiusMm: 2, thicknessMm: 5 }, copper),
    "Cannot compute disc: thicknessMm must be no more than the diameter 4, got 5",
  ],
  [
    "nail thicker than long",
    () => rodResponse({ lengthMm: 5, diameterMm: 6 }, copper),
    "Cannot compute rod: diameterMm must be no more than lengthMm 5, got 6",
  ],
  [
    "frequency 0",
    () => sphereResponse({ radiusMm: 3 }, { ...copper, frequencyHz: 0 }),
    "Cannot compute sphere: frequencyHz must lie between 1 and 10000000, got 0",
  ],
  [
    "1 GHz",
    () => rodResponse({ lengthMm: 50, diameterMm: 3 }, { ...copper, frequencyHz: 1e9 }),
    "Cannot compute rod: frequencyHz must lie between 1 and 10000000, got 1000000000",
  ],
  [
    "no conductivity",
    () => sphereResponse({ radiusMm: 3 }, { ...copper, conductivitySPerM: 0 }),
    "Cannot compute sphere: conductivitySPerM must be above 0, got 0",
  ],
  [
    "permeability below 1",
    () => sphereResponse({ radiusMm: 3 }, { ...copper, relativePermeability: 0.5 }),
    "Cannot compute sphere: relativePermeability must be 1 or above, got 0.5",
  ],
  [
    "NaN size",
    () => sphereResponse({ radiusMm: NaN }, copper),
    "Cannot compute sphere: radiusMm must be above 0, got NaN",
  ],
  [
    "NaN induction number",
    () => sphereFunction(NaN, 1),
    "Cannot compute sphere: inductionNumber must be above 0, got NaN",
  ],
  [
    "infinite s",
    () => discFunction({ re: Infinity, im: 0 }),
    "Cannot compute disc: s must be finite, got Infinity + 0i",
  ],
  [
    "negative z",
    () => besselRatio({ re: -1, im: 0 }),
    "Cannot compute Bessel ratio: z must be finite with re of 0 or above, got -1 + 0i",
  ],
  [
    "aspect 0",
    () => demagnetisingFactor(0),
    "Cannot compute demagnetising factor: aspect must be above 0, got 0",
  ],
  [
    "on the wire",
    () => loopField(0.1, { rhoM: 0.1, zM: 0 }),
    "Cannot compute loop field: the point must lie off the wire, got rhoM 0.1, zM 0",
  ],
  [
    "no coil",
    () => coilLoops({ winding: "overlapped", diameterCm: 0 }),
    "Cannot lay out coil: diameterCm must be above 0, got 0",
  ],
  [
    "above the ground",
    () => layObject(laid.response, { depthCm: -1 }),
    "Cannot lay object: depthCm must be 0 or above, got -1",
  ],
  [
    "coil below the target",
    () => sweepSignal([laid], coil, { coilHeightCm: -12 }),
    "Cannot sweep: the coil must be above every object, got 2 cm below one",
  ],
  [
    "two positions",
    () => sweepSignal([laid], coil, { positions: 2 }),
    "Cannot sweep: positions must be a whole number of 3 or above, got 2",
  ],
  [
    "backwards",
    () => sweepSignal([laid], coil, { fromCm: 5, toCm: 5 }),
    "Cannot sweep: toCm - fromCm must be above 0, got 0",
  ],
  [
    "other tables",
    () => sweepSignal([laid], coil, { tables: fieldTables({ winding: "overlapped", diameterCm: 28 }) }),
    "Cannot sweep: tables must be of the same coil, got overlapped 28 cm",
  ],
  ["filter of no width", () => highPass(signal, 0), "Cannot filter sweep: widthCm must be above 0, got 0"],
  [
    "standing still",
    () => readSweep(signal, { speedCmPerS: 0 }),
    "Cannot read sweep: speedCmPerS must be above 0, got 0",
  ],
  [
    "negative recovery",
    () => readSweep(signal, { recoveryS: -1 }),
    "Cannot read sweep: recoveryS must be 0 or above, got -1",
  ],
  [
    "NaN phase",
    () => phaseToReading(NaN, { low: 0, high: 1, step: 1 }),
    "Cannot show phase: phaseLagDeg must be a finite number, got NaN",
  ],
  [
    "no step",
    () => phaseToReading(1, { low: 0, high: 1, step: 0 }),
    "Cannot show phase: step must be above 0, got 0",
  ],
  [
    "no coil width",
    () => kernelHalfWidthCm(0, 5),
    "Cannot compute half width: coilCm must be above 0, got 0",
  ],
  [
    "infinite loudness",
    () => closedFormDrag(Infinity, 90),
    "Cannot compute drag: loudnessRatio must be a finite number of 0 or above, got Infinity",
  ],
  [
    "equal phases",
    () => closedFormDrag(1, 0),
    "Cannot compute drag: phaseDifferenceDeg must lie between 0 and 180, got 0",
  ],
])("%s is refused", (_, call, message) => {
  expect(call).toThrow(RangeError);
  expect(call).toThrow(message);
});
