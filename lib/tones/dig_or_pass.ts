import type { Machine, OutcomeGrade, Season, Signal } from "../log/mod.ts";
import { type Absent, absent, chance } from "../numbers/mod.ts";
import { armOf, armsOf } from "./_arms.ts";
import { passesInTurn } from "./_passes_in_turn.ts";

/** Options of `digOrPass`. */
export interface DigOrPassOptions {
  /** Seed of the draw. Default 1. */
  readonly seed?: number;
  /** How many sounds, 2 or above. Default 10. */
  readonly sounds?: number;
}

/** One question: a signal to be heard, and what came out of its hole. */
export interface DigOrPassQuestion {
  readonly signal: Signal;
  /** Whether the hole was worth it: a masked good, or another find that its finder marked to keep. */
  readonly dig: boolean;
  readonly outcome: "masked-good" | "non-ferrous" | "ferrous";
  readonly grade: OutcomeGrade | null;
}

/** A quiz of sounds of one machine and discrimination setting. */
export interface DigOrPass {
  readonly of: Readonly<Record<string, string>>;
  readonly machine: Machine;
  readonly questions: readonly DigOrPassQuestion[];
  /** Signals it was drawn from: worth a hole, and iron. */
  readonly drawnFrom: { readonly dig: number; readonly pass: number };
}

/** What may be asked: a finished hole of known outcome, passes both ways, nothing that one must stop for. */
function questionOf(signal: Signal): DigOrPassQuestion | null {
  const { status, class: outcome, grade } = signal.outcome;
  if (status !== "known" || outcome === null || signal.dug !== "yes" || signal.stopped_why !== null) {
    return null;
  }
  if (signal.finds.some((find) => find.keep === "hazard")) return null;
  const passes = passesInTurn(signal);
  const sounding = (direction: 1 | -1): boolean =>
    passes.some((pass) => pass.direction === direction && pass.reading !== null);
  if (!sounding(1) || !sounding(-1)) return null;
  if (outcome === "non-ferrous" && !signal.finds.some((find) => find.keep === "yes")) return null;
  return { signal, dig: outcome !== "ferrous", outcome, grade };
}

/**
 * Draws a quiz, "dig or pass", from the dug signals of a season: half of the sounds were worth a hole, half were iron.
 *
 * Worth a hole: a masked good, or another non-ferrous find marked to keep; as many masked goods as other finds where the
 * log has them. Other non-ferrous finds are not asked. Never asked: hazards, stopped digs and unknown outcomes, since the
 * answer to those is not a matter of the ear; signals without a sounding pass each way. The machine and discrimination
 * setting with most signals to ask is taken; questions come in an order drawn from the seed.
 *
 * Returns an absence where half the sounds cannot be had on either side. Throws RangeError for fewer than 2 sounds.
 *
 * @example
 * ```ts
 * import { digOrPass } from "overiron";
 * const quiz = digOrPass({ machines: [], settings: [], signals: [] });
 * if (!("absent" in quiz)) throw new Error("no signals, nothing to ask");
 * ```
 */
export function digOrPass(season: Season, options: DigOrPassOptions = {}): DigOrPass | Absent {
  const { seed = 1, sounds = 10 } = options;
  if (!(Number.isSafeInteger(sounds) && sounds >= 2)) {
    throw new RangeError(`Cannot make a quiz: sounds must be a whole number of 2 or above, got ${sounds}`);
  }
  const arms = armsOf(season.machines, season.signals).map((arm) => ({
    arm,
    asked: arm.rows.map(questionOf).filter((question) => question !== null),
  }));
  const digs = Math.floor(sounds / 2), passes = sounds - digs;
  let most: (typeof arms)[number] | undefined;
  for (const one of arms) if (!most || one.asked.length > most.asked.length) most = one;
  const asked = most?.asked ?? [];
  const worth = asked.filter(({ dig }) => dig), iron = asked.filter(({ dig }) => !dig);
  if (!most || worth.length < digs || iron.length < passes) {
    return absent(
      "too few",
      `A quiz of ${sounds} sounds needs ${digs} signals worth a hole and ${passes} of iron, got ${worth.length} and ${iron.length}`,
      { "signals worth a hole": worth.length, "iron signals": iron.length },
    );
  }
  const draw = chance(seed, "tones/dig-or-pass", 0);
  const masked = draw.shuffle(worth.filter(({ outcome }) => outcome === "masked-good"));
  const other = draw.shuffle(worth.filter(({ outcome }) => outcome !== "masked-good"));
  const maskedTaken = Math.min(masked.length, Math.max(Math.ceil(digs / 2), digs - other.length));
  return {
    of: armOf(most.arm),
    machine: most.arm.machine,
    questions: draw.shuffle([
      ...masked.slice(0, maskedTaken),
      ...other.slice(0, digs - maskedTaken),
      ...draw.shuffle(iron).slice(0, passes),
    ]),
    drawnFrom: { dig: worth.length, pass: iron.length },
  };
}
