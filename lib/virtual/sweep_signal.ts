import { needAboveZero, needFinite } from "./_check.ts";
import { type CoilLoop, coilLoops, type VirtualCoil } from "./coil_loops.ts";
import { type FieldTables, TABLE_REACH_CM, TABLE_STEP_CM } from "./field_tables.ts";
import type { BuriedObject } from "./lay_object.ts";
import { fillLoopField } from "./loop_field.ts";

/** What the receiving loop hears along a sweep, for 1 A: one complex number a position of the coil's middle. */
export interface SweepSignal {
  readonly fromCm: number;
  readonly stepCm: number;
  readonly re: Float64Array;
  readonly im: Float64Array;
  /** Of a filtered sweep: the sweep before it. */
  readonly before?: SweepSignal;
}

export interface SweepSignalOptions {
  /** Height of the coil over the ground. Default 2. */
  readonly coilHeightCm?: number;
  /** How far beside the line y = 0 the coil passes. Default 0. */
  readonly offsetCm?: number;
  /** First position of the coil's middle. Default -40. */
  readonly fromCm?: number;
  /** Last position. Default 40. */
  readonly toCm?: number;
  /** Number of positions, both ends counted. Default 201. */
  readonly positions?: number;
  /** Tables of this coil's field (`fieldTables`), for speed. Default: the field is worked out at each position. */
  readonly tables?: FieldTables;
}

/**
 * Gives the signal of buried objects along a sweep, by reciprocity: S = H_T . P . H_R, summed over the objects.
 *
 * H_T and H_R are the fields that the two loops would each make at the object for 1 A, P its moment per unit field. Objects do not feel each
 * other: below 1 to 2 cm of clear gap that is wrong. Ground is silent. S is in A^2 m here; only ratios and phases matter. x grows to the
 * right, and positions rise whichever way the coil goes.
 *
 * Throws RangeError when an object lies at or above the coil, for a sweep without length or fewer than 3 positions, for tables of another
 * coil, or for a coil and numbers that cannot be.
 *
 * @example
 * ```ts
 * import { discResponse, layObject, METALS, sweepSignal } from "overiron";
 * const coin = discResponse({ radiusMm: 12, thicknessMm: 1.5 }, { ...METALS.copper, frequencyHz: 8000 });
 * const { re } = sweepSignal([layObject(coin)], { winding: "concentric", diameterCm: 28 });
 * if (!(Math.abs(re[100]!) > Math.abs(re[60]!))) throw new Error("not loudest in the middle");
 * ```
 */
export function sweepSignal(
  objects: readonly BuriedObject[],
  coil: VirtualCoil,
  options: SweepSignalOptions = {},
): SweepSignal {
  const { coilHeightCm = 2, offsetCm = 0, fromCm = -40, toCm = 40, positions = 201, tables } = options;
  needFinite("sweep", { coilHeightCm, offsetCm, fromCm, toCm });
  if (!Number.isSafeInteger(positions) || positions < 3) {
    throw new RangeError(`Cannot sweep: positions must be a whole number of 3 or above, got ${positions}`);
  }
  needAboveZero("sweep", { "toCm - fromCm": toCm - fromCm });
  if (tables && (tables.coil.winding !== coil.winding || tables.coil.diameterCm !== coil.diameterCm)) {
    throw new RangeError(
      `Cannot sweep: tables must be of the same coil, got ${tables.coil.winding} ${tables.coil.diameterCm} cm`,
    );
  }
  const loops = coilLoops(coil);
  const signal = {
    fromCm,
    stepCm: (toCm - fromCm) / (positions - 1),
    re: new Float64Array(positions),
    im: new Float64Array(positions),
  };
  for (const object of objects) {
    const distanceCm = object.depthCm + coilHeightCm;
    if (!(distanceCm > 0)) {
      throw new RangeError(
        `Cannot sweep: the coil must be above every object, got ${-distanceCm} cm below one`,
      );
    }
    if (tables) addFromTable(signal, object, loops, tables, distanceCm, offsetCm);
    else addDirectly(signal, object, loops, distanceCm, offsetCm);
  }
  return signal;
}

type Loops = { readonly transmit: CoilLoop; readonly receive: CoilLoop };

function addDirectly(
  signal: SweepSignal,
  object: BuriedObject,
  loops: Loops,
  distanceCm: number,
  offsetCm: number,
): void {
  const { axial, transverse } = object.response, [ax, ay, az] = object.axis;
  const extraRe = axial.re - transverse.re, extraIm = axial.im - transverse.im;
  const t = new Float64Array(2), r = new Float64Array(2);
  const y = (object.yCm - offsetCm) / 100, z = distanceCm / 100;
  for (let i = 0; i < signal.re.length; i++) {
    const x = (object.xCm - (signal.fromCm + i * signal.stepCm)) / 100;
    const tx = x - loops.transmit.xCm / 100, rx = x - loops.receive.xCm / 100;
    const tRho = Math.sqrt(tx * tx + y * y), rRho = Math.sqrt(rx * rx + y * y);
    fillLoopField(loops.transmit.radiusCm / 100, tRho, z, t);
    fillLoopField(loops.receive.radiusCm / 100, rRho, z, r);
    // Below the coil the outward part points inwards.
    const tOut = tRho > 0 ? -t[0]! / tRho : 0, rOut = rRho > 0 ? -r[0]! / rRho : 0;
    const dot = tOut * rOut * (tx * rx + y * y) + t[1]! * r[1]!;
    const onAxis = (tOut * (tx * ax + y * ay) + t[1]! * az) * (rOut * (rx * ax + y * ay) + r[1]! * az);
    signal.re[i]! += transverse.re * dot + extraRe * onAxis;
    signal.im[i]! += transverse.im * dot + extraIm * onAxis;
  }
}

function addFromTable(
  signal: SweepSignal,
  object: BuriedObject,
  loops: Loops,
  tables: FieldTables,
  distanceCm: number,
  offsetCm: number,
): void {
  const { axial, transverse } = object.response, [ax, ay, az] = object.axis;
  const extraRe = axial.re - transverse.re, extraIm = axial.im - transverse.im;
  const { transmitRadial, transmitAxial, receiveRadial, receiveAxial } = tables.at(distanceCm);
  const { re, im, fromCm, stepCm } = signal;
  const y = object.yCm - offsetCm, count = re.length;
  const transmitX = object.xCm - loops.transmit.xCm, receiveX = object.xCm - loops.receive.xCm;
  const same = transmitX === receiveX;
  const y2 = y * y, aside = y * ay;
  for (let i = 0; i < count; i++) {
    const u = fromCm + i * stepCm;
    const tx = transmitX - u, rx = receiveX - u;
    const tRho = Math.sqrt(tx * tx + y2);
    if (tRho > TABLE_REACH_CM) continue;
    const tAt = tRho / TABLE_STEP_CM, tCell = tAt | 0, f = tAt - tCell;
    const w0 = -f * (f - 1) * (f - 2) / 6, w1 = (f + 1) * (f - 1) * (f - 2) / 2;
    const w2 = -(f + 1) * f * (f - 2) / 2, w3 = (f + 1) * f * (f - 1) / 6;
    const tAxial = w0 * transmitAxial[tCell]! + w1 * transmitAxial[tCell + 1]! +
      w2 * transmitAxial[tCell + 2]! +
      w3 * transmitAxial[tCell + 3]!;
    const tRadial = w0 * transmitRadial[tCell]! + w1 * transmitRadial[tCell + 1]! +
      w2 * transmitRadial[tCell + 2]! +
      w3 * transmitRadial[tCell + 3]!;
    let rAxial: number, rRadial: number, rRho: number;
    if (same) {
      rRho = tRho;
      rAxial = w0 * receiveAxial[tCell]! + w1 * receiveAxial[tCell + 1]! + w2 * receiveAxial[tCell + 2]! +
        w3 * receiveAxial[tCell + 3]!;
      rRadial = w0 * receiveRadial[tCell]! + w1 * receiveRadial[tCell + 1]! + w2 * receiveRadial[tCell + 2]! +
        w3 * receiveRadial[tCell + 3]!;
    } else {
      rRho = Math.sqrt(rx * rx + y2);
      if (rRho > TABLE_REACH_CM) continue;
      const rAt = rRho / TABLE_STEP_CM, cell = rAt | 0, g = rAt - cell;
      const v0 = -g * (g - 1) * (g - 2) / 6, v1 = (g + 1) * (g - 1) * (g - 2) / 2;
      const v2 = -(g + 1) * g * (g - 2) / 2, v3 = (g + 1) * g * (g - 1) / 6;
      rAxial = v0 * receiveAxial[cell]! + v1 * receiveAxial[cell + 1]! + v2 * receiveAxial[cell + 2]! +
        v3 * receiveAxial[cell + 3]!;
      rRadial = v0 * receiveRadial[cell]! + v1 * receiveRadial[cell + 1]! + v2 * receiveRadial[cell + 2]! +
        v3 * receiveRadial[cell + 3]!;
    }
    const tOut = tRho > 0 ? -tRadial / tRho : 0, rOut = rRho > 0 ? -rRadial / rRho : 0;
    const dot = tOut * rOut * (tx * rx + y2) + tAxial * rAxial;
    const onAxis = (tOut * (tx * ax + aside) + tAxial * az) * (rOut * (rx * ax + aside) + rAxial * az);
    re[i]! += transverse.re * dot + extraRe * onAxis;
    im[i]! += transverse.im * dot + extraIm * onAxis;
  }
}
