import type { Passes } from "../../lib/log/mod.ts";

export const machine = {
  machine: "Machine A",
  scale: { low: 0, high: 600, step: 1 },
  iron_break: 150,
  tones: {
    name: "one",
    kind: "bands" as const,
    breaks: [],
    bands: [{ name: "all", pitch_hz: 440, loudness: 1 }],
  },
};

export function passes(readings: readonly number[], extra: Partial<Passes> = {}): Passes {
  const silent = extra.silent ?? 0;
  const base = { written: readings.join(" "), kind: "passes" as const, approximate: false };
  return Object.freeze({
    ...base,
    readings: Object.freeze([...readings]),
    silent,
    passes: readings.length + silent,
    ...extra,
  });
}
