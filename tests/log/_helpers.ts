import { type LogFile, parseMachines } from "../../lib/log/mod.ts";

/** Two machines of our own: one scale from 0 in ones, one with negative numbers in fives. */
export const MACHINES_JSON = {
  schema: "overiron-machines/1",
  machines: [
    {
      machine: "Machine A",
      scale: { low: 0, high: 600, step: 1 },
      iron_break: 150,
      tones: {
        name: "four bands",
        kind: "bands",
        breaks: [150, 300, 450],
        bands: [
          { name: "iron", pitch_hz: 110, loudness: 0.5 },
          { name: "low", pitch_hz: 220, loudness: 0.8 },
          { name: "middle", pitch_hz: 440, loudness: 1 },
          { name: "high", pitch_hz: 880, loudness: 1 },
        ],
      },
    },
    {
      machine: "Machine B",
      scale: { low: -200, high: 200, step: 5 },
      iron_break: 0,
      tones: {
        name: "sliding",
        kind: "sliding",
        breaks: [],
        bands: [{ name: "bottom", pitch_hz: 110, loudness: 1 }, { name: "top", pitch_hz: 880, loudness: 1 }],
      },
    },
  ],
  settings: [
    {
      settings: "a-quiet",
      machine: "Machine A",
      coil: { length_cm: 28, width_cm: 23, winding: "overlapped" },
      discrimination: "iron-silenced",
    },
    { settings: "b-open", machine: "Machine B", discrimination: "none" },
  ],
} as const;

export const machines = parseMachines(JSON.stringify(MACHINES_JSON));
export const oneMachine = parseMachines(
  JSON.stringify({ ...MACHINES_JSON, machines: [MACHINES_JSON.machines[0]], settings: [] }),
);
export const scaleA = MACHINES_JSON.machines[0].scale;
export const scaleB = MACHINES_JSON.machines[1].scale;

export const bytesOf = (text: string): Uint8Array => new TextEncoder().encode(text);
export const file = (text: string, name = "log.csv"): LogFile => ({ name, bytes: bytesOf(text) });

/** The error that a call gives, whether at once or later. */
export async function faultOf(call: () => unknown): Promise<Error> {
  try {
    await call();
  } catch (error) {
    return error as Error;
  }
  throw new Error("No error was thrown");
}
