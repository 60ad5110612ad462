import { Remarks } from "./apply_schema.ts";
import { standingReadings } from "./derive_outcome.ts";
import { growingPasses } from "./_growing_passes.ts";
import type { Remark } from "./report.ts";
import { holesLeftOpen } from "./holes_left_open.ts";
import type { Find, Outing, Signal } from "./rows.ts";

/** The sentences that `findSuspicious` may say. None holds a value of the log. */
export const SUSPICIOUS = {
  allEqual: "All readings of a signal, four or more, are equal: was one number copied for every pass?",
  roundFindDepths: "All depths of finds, ten or more, are multiples of five centimetres: were they guessed?",
  roundShownDepths: "All depths shown, ten or more, are multiples of five centimetres: were they guessed?",
  samePlace: "Two signals lie at one place and were met in the same minute: is one of them the other?",
  sameSite:
    "Two signals of one site, machine and observer were met in the same minute: is one of them the other?",
  undugOutcome: "A signal that was not dug has a stated outcome",
  loneSite: "A site has one signal only: is it another site, written otherwise?",
  maskedNoIron: "A masked good has no iron noted, neither near it nor in its hole",
  statedFerrous: "A signal stated as ferrous has only finds that a magnet did not hold",
  namedIron: "A find called iron by its words is one that a magnet did not hold",
  passesGrow:
    "The passes grow in number with the reading: did the person sweep longer where it sounded good?",
  holesOpen: "An outing filled fewer holes than it dug: does one stand open?",
} as const;

export interface FindSuspiciousOptions {
  /** Where a signal stands in its file, by its index. */
  readonly place: (index: number) => { readonly file: string; readonly line: number };
  /** The outings of these signals, for their count of holes filled. Default: none are looked at. */
  readonly outings?: readonly Outing[];
}

/** Words for iron, unless another metal is named with them ("brass nail"). */
const IRON = /\b(?:iron|steel|nails?|horseshoes?)\b/i;
const OTHER_METAL = /\b(?:copper|brass|bronze|lead|silver|gold|gilt|alumini?um|zinc|pewter|tin)\b/i;

const FEWEST_DEPTHS = 10;

const hasIron = (signal: Signal): boolean =>
  (signal.iron_near !== null && signal.iron_near !== "none" && signal.iron_near !== "not-looked") ||
  (signal.iron_evidence !== null && signal.iron_evidence !== "none" &&
    signal.iron_evidence !== "not-looked") ||
  signal.finds.some(({ metal }) => metal === "ferrous" || metal === "both");

const calledIron = ({ what, metal }: Find): boolean =>
  metal === "non-ferrous" && what !== null && IRON.test(what) && !OTHER_METAL.test(what);

/** The day and minute at which a signal was met, or null where either is not logged. */
function minuteOf(signal: Signal): string | null {
  const seen = signal.kept_private?.seen_at ?? null;
  if (seen === null) return null;
  const match = /^(?:(\d{4}-\d{2}-\d{2})[T ])?(\d{2}:\d{2})/.exec(seen);
  const day = match?.[1] ?? signal.date;
  return match === null || day === null ? null : `${day} ${match[2]}`;
}

/**
 * Finds what is legal in a dig log but odd. Nothing is changed: each remark is a question to the person, counted, with
 * where it was met first.
 *
 * Growth of passes is looked for in each machine and discrimination setting with 30 signals or more, by Spearman's rank
 * correlation of the median reading and the number of passes, beyond a one-sided 0.001.
 *
 * @example
 * ```ts
 * import { findSuspicious } from "overiron";
 * if (findSuspicious([], { place: () => ({ file: "log.csv", line: 1 }) }).length !== 0) throw new Error("wrong");
 * ```
 */
export function findSuspicious(
  signals: readonly Signal[],
  options: FindSuspiciousOptions,
): readonly Remark[] {
  const remarks = new Remarks();
  const add = (index: number, column: string | null, text: string, value: string): void => {
    remarks.add("dig-log", column, text, () => ({ ...options.place(index), value }));
  };

  const depths: { kind: "find" | "shown"; index: number; depth: number }[] = [];
  const met = new Map<string, number>();
  const ofSite = new Map<string, number[]>();
  signals.forEach((signal, index) => {
    const cells = [signal.right, signal.left].filter((cell) => cell !== null);
    const readings = cells.flatMap(standingReadings);
    const single = cells.every(({ kind }) => kind === "passes");
    if (single && readings.length >= 4 && readings.every((reading) => reading === readings[0])) {
      add(index, "readings_right", SUSPICIOUS.allEqual, cells.map(({ written }) => written).join(" | "));
    }
    if (typeof signal.depth_indicated === "number") {
      depths.push({ kind: "shown", index, depth: signal.depth_indicated });
    }
    for (const find of signal.finds) {
      if (find.depth_cm !== null) depths.push({ kind: "find", index, depth: find.depth_cm });
      if (calledIron(find)) add(index, "metal", SUSPICIOUS.namedIron, find.what ?? "");
    }

    const minute = minuteOf(signal);
    if (minute !== null) {
      const { latitude = null, longitude = null } = signal.kept_private ?? {};
      const placed = latitude !== null && longitude !== null;
      const key = JSON.stringify([
        minute,
        placed
          ? [latitude.toFixed(5), longitude.toFixed(5)]
          : [signal.site, signal.machine, signal.settings, signal.observer],
      ]);
      if (met.has(key)) {
        add(
          index,
          "seen_at",
          placed ? SUSPICIOUS.samePlace : SUSPICIOUS.sameSite,
          signal.kept_private?.seen_at ?? "",
        );
      }
      met.set(key, index);
    }

    const stated = signal.outcome_stated ?? null;
    if (signal.dug === "no" && stated !== null && stated !== "unknown") {
      add(index, "outcome_stated", SUSPICIOUS.undugOutcome, stated);
    }
    if (
      stated === "ferrous" && signal.finds.length > 0 &&
      signal.finds.every(({ metal }) => metal === "non-ferrous")
    ) {
      add(index, "outcome_stated", SUSPICIOUS.statedFerrous, stated);
    }
    if (signal.outcome.class === "masked-good" && !hasIron(signal)) {
      add(index, "iron_evidence", SUSPICIOUS.maskedNoIron, signal.iron_evidence ?? "");
    }
    const onSite = ofSite.get(signal.site);
    if (onSite === undefined) ofSite.set(signal.site, [index]);
    else onSite.push(index);
  });

  for (
    const [kind, column, text] of [
      ["find", "depth_cm", SUSPICIOUS.roundFindDepths],
      ["shown", "depth_indicated", SUSPICIOUS.roundShownDepths],
    ] as const
  ) {
    const own = depths.filter((each) => each.kind === kind);
    if (own.length < FEWEST_DEPTHS || !own.every(({ depth }) => depth % 5 === 0)) continue;
    for (const { index, depth } of own) add(index, column, text, String(depth));
  }
  for (const [site, [index, other]] of ofSite) {
    if (ofSite.size > 1 && other === undefined) add(index!, "site", SUSPICIOUS.loneSite, site);
  }
  const swept = signals.map(({ machine, settings, discrimination, right, left }) => ({
    group: JSON.stringify([machine, settings, discrimination]),
    right,
    left,
  }));
  for (const { index, value } of growingPasses(swept)) {
    add(index, "readings_right", SUSPICIOUS.passesGrow, value);
  }
  const told = (options.outings ?? []).filter(({ holes_filled }) => (holes_filled ?? null) !== null);
  for (const { outing_id, dug, filled, open } of told.length === 0 ? [] : holesLeftOpen(told, signals)) {
    if (open === 0) continue;
    const first = signals.findIndex((signal) => signal.outing_id === outing_id);
    add(first, "holes_filled", SUSPICIOUS.holesOpen, `${filled} filled, ${dug} dug`);
  }
  return remarks.list();
}
