import { python } from "./_python.ts";
import { type BuriedObject, coilLoops, type VirtualCoil } from "../../lib/virtual/mod.ts";

/** What the numpy sweep printed. */
export interface NumpySweep {
  readonly microseconds: number;
  readonly re: readonly number[];
  readonly im: readonly number[];
}

/** Runs the sweep of one object from -40 to 40 cm at a coil height of 2 cm in numpy, or gives null where python3 or numpy is missing. */
export async function numpySweep(
  object: BuriedObject,
  coil: VirtualCoil,
  positions = 200,
): Promise<NumpySweep | null> {
  const { transmit, receive } = coilLoops(coil);
  const loop = ({ radiusCm, xCm }: typeof transmit) => ({ radius: radiusCm / 100, x: xCm / 100 });
  const { axial, transverse } = object.response;
  const job = {
    from: -0.4,
    to: 0.4,
    positions,
    x: object.xCm / 100,
    y: object.yCm / 100,
    z: (object.depthCm + 2) / 100,
    axis: object.axis,
    axial: [axial.re, axial.im],
    transverse: [transverse.re, transverse.im],
    transmit: loop(transmit),
    receive: loop(receive),
  };
  return await python<NumpySweep>("virtual_numpy.py", { job });
}
