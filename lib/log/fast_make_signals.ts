import type { SharedHole } from "./fast_holes.ts";
import { OUTCOMES } from "./fast_outcomes.ts";
import type { JoinedOutings } from "./fast_outings.ts";
import type { RowValues } from "./fast_row_values.ts";
import { CODED, type CodedName, type SignalTable } from "./fast_signal_table.ts";
import type { Signal } from "./rows.ts";

export interface SignalMakerOptions extends JoinedOutings {
  readonly values: RowValues;
  readonly holeOf: ReadonlyMap<number, SharedHole>;
  /** By code of a site: whether the site is private. */
  readonly hidden: readonly boolean[];
  /** By data row: the number of its outcome in `OUTCOMES`. */
  readonly outcomes: Uint8Array;
}

/** Makes the function that makes the signal of a row. */
export function signalMaker(found: SignalTable, options: SignalMakerOptions): (row: number) => Signal {
  const { words, codes, of, machinesOf } = found;
  const { outings, outingAt, values: { codeAt, passesAt, findsOfRow }, holeOf, hidden, outcomes } = options;
  const at = {} as Record<CodedName, (row: number) => never>;
  for (const name of CODED) {
    const column = codes[name], { values } = words[name];
    at[name] = column === null ? () => null as never : (row) => values[column[row]!] as never;
  }
  return (row) => {
    const hole = holeOf.get(row);
    const signalId = found.signalId(row);
    const holeId: string = hole?.id ?? at.hole_id(row) ?? signalId;
    const own = hole?.finds ?? findsOfRow(row, holeId);
    const dug: Signal["dug"] = at.dug(row);
    const of_ = machinesOf[of[row]!]!;
    return {
      signal_id: signalId,
      site: at.site(row),
      observer: at.observer(row),
      date: at.date(row),
      settings: of_.settings,
      machine: of_.machine.machine,
      discrimination: of_.discrimination,
      ground: at.ground(row),
      moisture: at.moisture(row),
      right: passesAt("right", row),
      left: passesAt("left", row),
      cross: passesAt("cross", row),
      both_ways: at.both_ways(row),
      after_turn: at.after_turn(row),
      spot_moves: at.spot_moves(row),
      iron_near: at.iron_near(row),
      tone_heard: at.tone_heard(row),
      depth_indicated: at.depth_indicated(row),
      my_call: at.my_call(row),
      dug,
      stopped_why: at.stopped_why(row),
      result: at.result(row),
      iron_evidence: at.iron_evidence(row),
      after_dig: at.after_dig(row),
      dig_chance: at.dig_chance(row),
      finds: own,
      hole_id: dug === "no" && own.length === 0 ? at.hole_id(row) : holeId,
      coil_height_cm: at.coil_height_cm(row),
      rule_said: at.rule_said(row),
      rule_version: at.rule_version(row),
      outcome_stated: at.outcome_stated(row),
      kept_private: {
        site_private: hidden[codeAt("site", row)]!,
        seen_at: at.seen_at(row),
        latitude: at.latitude(row),
        longitude: at.longitude(row),
        notes: found.notes(row),
      },
      outing_id: outings[outingAt[row]!]!.outing_id,
      outcome: OUTCOMES[outcomes[row]!]!,
    };
  };
}
