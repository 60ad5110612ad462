import type { Machine, Passes, Signal, ToneScheme, Trial } from "../../lib/log/mod.ts";

/** Four bands on an invented scale: iron below 210, low to 319, middle to 429, high. */
export const four: ToneScheme = {
  name: "four",
  kind: "bands",
  breaks: [210, 320, 430],
  bands: ["iron", "low", "middle", "high"].map((name, i) => ({
    name,
    pitch_hz: 110 * (i + 1),
    loudness: 0.8,
  })),
};

export const machineA: Machine = {
  machine: "Machine A",
  scale: { low: 0, high: 600, step: 1 },
  iron_break: 210,
  tones: four,
};

export const machineB: Machine = {
  machine: "Machine B",
  scale: { low: -200, high: 200, step: 5 },
  iron_break: -60,
  tones: {
    name: "two",
    kind: "bands",
    breaks: [-60],
    bands: [{ name: "iron", pitch_hz: 110, loudness: 0.5 }, { name: "metal", pitch_hz: 440, loudness: 0.8 }],
  },
};

export const passes = (...readings: (number | "x")[]): Passes => {
  const numbers = readings.filter((reading) => reading !== "x");
  return {
    written: readings.join(" "),
    kind: "passes",
    readings: numbers,
    silent: readings.length - numbers.length,
    passes: readings.length,
    approximate: false,
  };
};

export const signal = (id: string, parts: Partial<Signal> = {}): Signal => ({
  signal_id: id,
  outing_id: "O1",
  site: "A",
  observer: null,
  date: "2025-03",
  settings: null,
  machine: "Machine A",
  discrimination: "none",
  ground: null,
  moisture: null,
  right: null,
  left: null,
  cross: null,
  both_ways: null,
  after_turn: null,
  spot_moves: null,
  iron_near: null,
  tone_heard: null,
  depth_indicated: null,
  my_call: null,
  dug: "no",
  stopped_why: null,
  result: null,
  iron_evidence: null,
  after_dig: null,
  dig_chance: null,
  finds: [],
  outcome: { status: "not-dug", class: null, grade: null },
  ...parts,
});

export const trial = (id: string, parts: Partial<Trial> = {}): Trial => ({
  trial_id: id,
  block: "B1",
  run_order: null,
  date: null,
  settings: null,
  machine: "Machine A",
  discrimination: "none",
  spot: null,
  medium: null,
  target: null,
  target_tilt: null,
  target_size_mm: null,
  depth_cm: 8,
  coil_height_cm: 2,
  neighbour: null,
  neighbour_kind: null,
  neighbour_length_mm: null,
  neighbour_thickness_mm: null,
  neighbour_count: null,
  side: null,
  neighbour_heading_deg: null,
  neighbour_tilt_deg: null,
  gap_cm: null,
  height_difference_cm: null,
  right: null,
  left: null,
  cross: null,
  tone_heard: null,
  blind: null,
  clean: null,
  neighbourAlone: null,
  ...parts,
});

/** Freezes an object and all it holds, so that a function which touches its input throws. */
export function deepFreeze<T>(value: T): T {
  if (typeof value === "object" && value !== null && !Object.isFrozen(value)) {
    Object.freeze(value);
    for (const inner of Object.values(value)) deepFreeze(inner);
  }
  return value;
}
