import { absent, type Counts, type Estimate } from "../numbers/mod.ts";
import { moreGaps } from "./_lay_next.ts";
import type { GardenDrift, LaidPair } from "./trial_drift.ts";

/** Says "cannot tell yet" with what is missing and what to lay next. */
export function cannotTell(
  reason: string,
  layNext: string,
  n: Counts,
): { estimate: Estimate; layNext: string } {
  return { estimate: absent("cannot tell yet", `${reason}. ${layNext}`, n), layNext };
}

/** Why a pair has no drag at all, from what was set aside, and what to lay next. */
export function whyNoDrag(drift: GardenDrift, pair: LaidPair, n: Counts) {
  const rows = drift.rows.filter((row) => row.pair === pair.key);
  const silent = drift.silent.filter((each) => each.pair === pair.key);
  const aside = drift.setAside.filter((each) => each.pair === pair.key);
  const controls =
    "Lay the target alone and the neighbour alone once in every block, at the same depth and coil height";
  if (rows.length > 0) {
    return cannotTell(
      rows[0]!.noDrag!,
      rows.some((row) => row.neighbourReading === null)
        ? controls
        : "Pick a neighbour whose own reading lies further from the target's",
      n,
    );
  }
  if (aside.some((each) => each.reason.startsWith("The target was never"))) {
    return cannotTell(
      aside.find((each) => each.reason.startsWith("The target was never"))!.reason,
      controls,
      n,
    );
  }
  if (silent.length > 0) {
    return cannotTell(
      `All ${silent.length} readings were silent, and silence is not a number`,
      "Lay wider gaps, or switch off what silences iron, and read again",
      n,
    );
  }
  const reason = aside[0]?.reason ?? "No trial of this pair has a reading";
  return cannotTell(
    reason,
    reason.includes("two units") ? "Write the gaps in centimetres and load the log again" : moreGaps([]),
    n,
  );
}
