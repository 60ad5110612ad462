import type { Estimate } from "../numbers/mod.ts";
import { ratioBySite, type SignalTable } from "../model/mod.ts";

/** The signals one would pass by, and what came out of those that were dug all the same. */
export interface WouldPass {
  /** "own call": called iron. "iron break": where no call was logged, a centre below the machine's iron break. */
  readonly by: "own call" | "iron break";
  /** Signals of this kind that were not dug. */
  readonly passed: number;
  /** Of those dug, how many have a known outcome. */
  readonly dug: number;
  /** Of those dug with a known outcome, the share that was not ferrous. */
  readonly good: Estimate;
}

/**
 * Gives the signals that one would pass by, as the person called them or, where no call was logged, by the iron break: how many
 * were not dug, and the share of good ones among those dug all the same, with an interval by site.
 *
 * Stopped digs and hazards count on neither side. The share speaks for those passed only as far as the ones dug were like them.
 *
 * @example
 * ```ts
 * import { wouldPass } from "overiron";
 * const none = new Int32Array(0);
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * const x = { n: 0, names: [], columns: [], whyMissing: [], groups: { site: none, outing: none, observer: none } };
 * const { passed, good } = wouldPass({ machine, discrimination: "none", signals: [], x });
 * if (passed !== 0 || !("absent" in good)) throw new Error("a share of nothing");
 * ```
 */
export function wouldPass({ signals, machine, x }: SignalTable): WouldPass {
  const called = signals.some(({ my_call }) => my_call !== null);
  const place = x.names.indexOf("centre");
  const isIron = (row: number): boolean =>
    called ? signals[row]!.my_call === "iron" : place >= 0 && x.columns[place]![row]! < machine.iron_break;
  const rows = [...signals.keys()].filter(isIron);
  const holes = rows.filter((row) => signals[row]!.outcome.status === "known");
  return {
    by: called ? "own call" : "iron break",
    passed: rows.filter((row) => signals[row]!.dug === "no").length,
    dug: holes.length,
    good: ratioBySite(
      holes.map((row) => signals[row]!.outcome.class === "ferrous" ? 0 : 1),
      holes.map(() => 1),
      holes.map((row) => x.groups.site[row]!),
      { kind: "share", unit: "holes" },
    ),
  };
}
