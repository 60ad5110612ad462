import { type BuriedObject, coilLoops, type VirtualCoil } from "../lib/virtual/mod.ts";

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
  for (const program of ["/usr/bin/python3", "python3"]) {
    try {
      const child = new Deno.Command(program, {
        args: [new URL("virtual_numpy.py", import.meta.url).pathname],
        stdin: "piped",
        stdout: "piped",
        stderr: "null",
      }).spawn();
      const writer = child.stdin.getWriter();
      await writer.write(new TextEncoder().encode(JSON.stringify(job))).catch(() => {});
      await writer.close().catch(() => {});
      const { code, stdout } = await child.output();
      if (code === 0) return JSON.parse(new TextDecoder().decode(stdout));
    } catch {
      // not installed: try the next
    }
  }
  return null;
}
