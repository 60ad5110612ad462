import type { Machine, Outcome, Passes, Season, Signal } from "../../lib/log/mod.ts";
import { type Chance, chance } from "../../lib/numbers/mod.ts";

/** A made-up season for tests: what lies there is known, so a model can be held against it. */
export interface MadeSeasonOptions {
  readonly seed?: number;
  readonly signals?: number;
  readonly sites?: number;
  /** Shares of ferrous, non-ferrous and masked good. */
  readonly shares?: readonly [number, number, number];
  /** How strongly a site shifts all its readings. */
  readonly siteShift?: number;
}

export const machine: Machine = {
  machine: "Machine A",
  scale: { low: 0, high: 600, step: 1 },
  iron_break: 210,
  tones: {
    name: "Two bands",
    kind: "bands",
    breaks: [210],
    bands: [{ name: "iron", pitch_hz: 130.81, loudness: 1 }, {
      name: "other",
      pitch_hz: 261.63,
      loudness: 1,
    }],
  },
};

export function passesOf(readings: readonly number[], silent = 0): Passes {
  const written = [...readings.map(String), ...Array<string>(silent).fill("x")].join(" ");
  return { written, kind: "passes", readings, silent, passes: readings.length + silent, approximate: false };
}

const clip = (reading: number): number => Math.round(Math.min(600, Math.max(0, reading)));

function draw(stream: Chance, middle: number, noise: number, count: number, silentShare: number): Passes {
  const readings: number[] = [];
  let silent = 0;
  for (let i = 0; i < count; i++) {
    if (stream.next() < silentShare) silent++;
    else readings.push(clip(middle + noise * stream.normal()));
  }
  return passesOf(readings, silent);
}

/** The text "s0007": ids sort as they count. */
export const idOf = (letter: string, i: number): string => `${letter}${String(i).padStart(4, "0")}`;

export function madeSignal(over: Partial<Signal> = {}): Signal {
  const signal: Signal = {
    signal_id: "s0001",
    outing_id: "o01",
    site: "A",
    observer: "1",
    date: "2025-04",
    settings: "open",
    machine: "Machine A",
    discrimination: "none",
    ground: null,
    moisture: null,
    right: passesOf([300, 302, 304]),
    left: passesOf([299, 301, 303]),
    cross: null,
    both_ways: "yes",
    after_turn: "not-tried",
    spot_moves: null,
    iron_near: "none",
    tone_heard: null,
    depth_indicated: 10,
    my_call: "good",
    dug: "yes",
    stopped_why: null,
    result: "found",
    iron_evidence: "none",
    after_dig: "quiet",
    dig_chance: null,
    finds: [],
    outcome: { status: "known", class: "non-ferrous", grade: "measured" },
  };
  return { ...signal, ...over };
}

const classes = ["ferrous", "non-ferrous", "masked-good"] as const;

export function madeSeason(options: MadeSeasonOptions = {}): Season {
  const { seed = 1, signals = 240, sites = 8, shares = [0.5, 0.3, 0.2], siteShift = 15 } = options;
  const shifts = Array.from({ length: sites }, (_, s) => siteShift * chance(seed, "tests/site", s).normal());
  return {
    machines: [machine],
    settings: [],
    signals: Array.from({ length: signals }, (_, i) => {
      const stream = chance(seed, "tests/signal", i);
      const site = i % sites, at = stream.next();
      const code = at < shares[0] ? 0 : at < shares[0] + shares[1] ? 1 : 2;
      const middle = [150, 380, 290][code]! + shifts[site]! + 50 * stream.normal();
      const noise = [8, 4, 14][code]!, silent = [0.05, 0.02, 0.2][code]!;
      const lean = code === 2 ? 30 * stream.normal() : 0;
      const count = 1 + stream.integer(6);
      const right = draw(stream, middle + lean, noise, count, silent);
      const left = draw(stream, middle - lean, noise, count, silent);
      const dug = stream.next() < 0.85;
      const outcome: Outcome = dug
        ? { status: "known", class: classes[code], grade: "measured" }
        : { status: "not-dug", class: null, grade: null };
      const call = stream.next() < 0.7 ? (middle > 230 ? "good" : "iron") : "cannot-say";
      return madeSignal({
        signal_id: idOf("s", i + 1),
        outing_id: idOf("o", site * 3 + stream.integer(3)),
        site: String.fromCharCode(65 + site),
        right,
        left,
        cross: stream.next() < 0.5 ? draw(stream, middle + lean, noise, 2, silent) : null,
        iron_near: (["none", "some", "full"] as const)[
          stream.next() < 0.5 ? [1, 0, 2][code]! : stream.integer(3)
        ]!,
        depth_indicated: Math.round(6 + 10 * stream.next()),
        my_call: call,
        dug: dug ? "yes" : "no",
        result: dug ? "found" : null,
        outcome,
      });
    }),
  };
}
