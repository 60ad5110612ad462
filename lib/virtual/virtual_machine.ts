import type { Machine, SettingsSet } from "../log/mod.ts";
import type { VirtualCoil } from "./coil_loops.ts";

/** A machine made of physics: what a machines file says of it, and how it hears. Invented; no real one is meant. */
export interface VirtualMachine {
  readonly machine: Machine;
  readonly settings: SettingsSet;
  readonly frequencyHz: number;
  readonly coil: VirtualCoil;
  readonly coilHeightCm: number;
  readonly speedCmPerS: number;
  /** The high-pass filter's running mean, in time. */
  readonly smoothS: number;
  /** The number is taken this long after the peak. */
  readonly delayS: number;
  readonly recoveryS: number;
  /** Nothing below this is heard, and the noise in each part of a reading: A^2 m for 1 A, as `sweepSignal` gives. */
  readonly threshold: number;
  readonly noise: number;
  /** How far the number flickers by itself (standard deviation, degrees of phase). */
  readonly flickerDeg: number;
  /** How far beside the spot passes go (standard deviation). */
  readonly wanderCm: number;
}

const machineA: Machine = {
  machine: "Machine A",
  scale: { low: 0, high: 600, step: 1 },
  iron_break: 210,
  tones: {
    name: "Four bands",
    kind: "bands",
    breaks: [210, 380, 500],
    bands: [
      { name: "iron", pitch_hz: 130.81, loudness: 0.6 },
      { name: "low", pitch_hz: 261.63, loudness: 1 },
      { name: "middle", pitch_hz: 392, loudness: 1 },
      { name: "high", pitch_hz: 659.26, loudness: 1 },
    ],
  },
};

const machineB: Machine = {
  machine: "Machine B",
  scale: { low: -200, high: 200, step: 5 },
  iron_break: -60,
  tones: {
    name: "Two bands",
    kind: "bands",
    breaks: [-60],
    bands: [
      { name: "iron", pitch_hz: 146.83, loudness: 0.7 },
      { name: "metal", pitch_hz: 587.33, loudness: 1 },
    ],
  },
};

const settings = (
  name: string,
  machine: string,
  coil: SettingsSet["coil"],
  discrimination: SettingsSet["discrimination"],
  frequencyKhz: number,
): SettingsSet => ({
  settings: name,
  machine,
  coil,
  discrimination,
  frequency_khz: frequencyKhz,
  ground_balance: "not-stated",
  iron_filter: null,
  mode: null,
  recovery: null,
  sensitivity: null,
  software_version: null,
});

const round = { length_cm: 28, width_cm: 28, winding: "concentric" } as const;
const hearing = {
  speedCmPerS: 80,
  smoothS: 1,
  delayS: 0.012,
  recoveryS: 0.03,
  coilHeightCm: 2,
  flickerDeg: 0.7,
  wanderCm: 1,
};
const hearingA = {
  ...hearing,
  machine: machineA,
  frequencyHz: 8000,
  coil: { winding: "concentric", diameterCm: 28 },
  threshold: 7e-8,
  noise: 1.2e-8,
} as const;

/** The machines of the demo logs and of virtual logs: Machine A twice (all heard; iron silenced) and Machine B with overlapped windings. */
export const VIRTUAL_MACHINES: readonly VirtualMachine[] = [
  { ...hearingA, settings: settings("A-open", "Machine A", round, "none", 8) },
  { ...hearingA, settings: settings("A-quiet", "Machine A", round, "iron-silenced", 8) },
  {
    ...hearing,
    machine: machineB,
    frequencyHz: 12000,
    coil: { winding: "overlapped", diameterCm: 24 },
    threshold: 4e-8,
    noise: 7e-9,
    settings: settings(
      "B-open",
      "Machine B",
      { length_cm: 24, width_cm: 24, winding: "overlapped" },
      "none",
      12,
    ),
  },
];
