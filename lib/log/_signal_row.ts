import type { RowInHand } from "./apply_schema.ts";
import { type Field, FIELDS } from "./fields.ts";
import type { Machine } from "./machines.ts";
import { type MachineOfRow, passesOfRow } from "./_machine_of_row.ts";
import type { ReadReadingsOptions } from "./read_readings.ts";
import type { Find, Outing, Signal } from "./rows.ts";

/** A signal before its outing has an id, its finds are all joined and its outcome is derived. */
export interface SignalDraft {
  readonly signal: Omit<Signal, "outcome" | "outing_id">;
  readonly outing_id: string | null;
  readonly outing: Omit<Outing, "outing_id">;
}

export const FIND_FIELDS = FIELDS.find.filter((field) => !["hole_id", "order"].includes(field.name));

/** The find fields of a flat log: the plain ones, and those with a number behind them that the headings have. */
export function numberedFindFields(
  names: readonly string[],
): { readonly fields: readonly Field[]; readonly numbers: readonly number[] } {
  const numbers = new Set<number>([1]);
  const fields: Field[] = [...FIND_FIELDS];
  for (const name of names) {
    const match = /^(.+)_(\d{1,2})$/.exec(name);
    const base = FIND_FIELDS.find((field) => field.name === match?.[1]);
    const number = Number(match?.[2]);
    if (base === undefined || number < 2) continue;
    numbers.add(number);
    fields.push({ ...base, name: `${base.name}_${number}` });
  }
  return { fields, numbers: [...numbers].sort((a, b) => a - b) };
}

/** The finds that a row of a flat log holds. A find is there when any of its cells is filled. */
export function findsOfRow(
  row: RowInHand,
  numbers: readonly number[],
  holeId: string,
  scale: Machine["scale"],
  options: ReadReadingsOptions,
): Find[] {
  const finds: Find[] = [];
  for (const number of numbers) {
    const named = (name: string): string => number === 1 ? name : `${name}_${number}`;
    if (FIND_FIELDS.every((field) => row.value(named(field.name)) === null)) continue;
    const order = finds.length + 1;
    finds.push({
      find_id: row.text(named("find_id")) ?? `${holeId}-${order}`,
      hole_id: holeId,
      order,
      metal: row.text(named("metal")) as Find["metal"],
      keep: row.text(named("keep")) as Find["keep"],
      depth_cm: row.number(named("depth_cm")),
      readings_alone: passesOfRow(row, named("readings_alone"), { ...options, scale }),
      what: row.text(named("what")),
      reported: row.text(named("reported")) as Find["reported"],
    });
  }
  return finds;
}

export const DIG_NOTES = {
  foundSoDug: "A signal with something found, but no word about digging, was taken as dug",
  notDug: "A signal with no word about digging and nothing found was taken as not dug",
  undugFind: "A signal that was not dug has a find or a result",
  emptyFind: "A hole with nothing found has a find",
  noReadings: "A signal has no readings in either direction",
} as const;

/** Makes the signal of a row: its own cells first, those of its outing's row where they are empty. */
export function draftSignal(
  row: RowInHand,
  of: MachineOfRow,
  outing: Outing | null,
  numbers: readonly number[],
  options: ReadReadingsOptions,
): SignalDraft {
  const { scale } = of.machine;
  const text = (name: string): string | null => row.text(name);
  const site = (text("site") ?? outing?.site ?? "").replace(/\s+/g, " ");
  if (site === "") row.fault("site", "must be filled");
  const signalId = text("signal_id")!;

  const side = (name: "right" | "left" | "cross") =>
    passesOfRow(row, `readings_${name}`, { ...options, scale, counts: name });
  const right = side("right"), left = side("left"), cross = side("cross");
  if (right === null && left === null) row.flag(null, DIG_NOTES.noReadings);

  const holeId = text("hole_id") ?? signalId;
  const finds = findsOfRow(row, numbers, holeId, scale, options);
  const result = text("result") as Signal["result"];
  const stated = text("outcome_stated") as Signal["outcome_stated"];
  let dug = text("dug") as Signal["dug"] | null;
  if (dug === null) {
    const found = finds.length > 0 || result !== null || stated !== null;
    dug = found ? "yes" : text("stopped_why") !== null ? "stopped" : "no";
    if (dug !== "stopped") {
      row.assume(row.has("dug") ? "dug" : null, found ? DIG_NOTES.foundSoDug : DIG_NOTES.notDug);
    }
  } else if (dug === "no" && (finds.length > 0 || result !== null)) row.flag("dug", DIG_NOTES.undugFind);
  if (result === "nothing-found" && finds.length > 0) row.flag("result", DIG_NOTES.emptyFind);

  const depth = row.value("depth_indicated");
  const observer = text("observer") ?? outing?.observer ?? null;
  const ground = text("ground") ?? outing?.ground ?? null;
  const moisture = text("moisture") ?? outing?.moisture ?? null;
  const date = text("date") ?? outing?.date ?? null;
  const height = row.number("coil_height_cm") ?? outing?.coil_height_cm ?? null;
  return {
    outing_id: text("outing_id"),
    outing: {
      date,
      site,
      settings: of.settings,
      machine: of.machine.machine,
      observer,
      ground,
      moisture,
      balance: row.number("balance") ?? outing?.balance ?? null,
      coil_height_cm: height,
      check_start: passesOfRow(row, "check_start", { ...options, scale }) ?? outing?.check_start ?? null,
      check_end: passesOfRow(row, "check_end", { ...options, scale }) ?? outing?.check_end ?? null,
      holes_filled: row.number("holes_filled") ?? outing?.holes_filled ?? null,
    },
    signal: {
      signal_id: signalId,
      site,
      observer,
      date,
      settings: of.settings,
      machine: of.machine.machine,
      discrimination: of.discrimination,
      ground,
      moisture,
      right,
      left,
      cross,
      both_ways: text("both_ways") as Signal["both_ways"],
      after_turn: text("after_turn") as Signal["after_turn"],
      spot_moves: text("spot_moves") as Signal["spot_moves"],
      iron_near: text("iron_near") as Signal["iron_near"],
      tone_heard: text("tone_heard"),
      depth_indicated: depth as Signal["depth_indicated"],
      my_call: text("my_call") as Signal["my_call"],
      dug,
      stopped_why: text("stopped_why"),
      result,
      iron_evidence: text("iron_evidence") as Signal["iron_evidence"],
      after_dig: text("after_dig") as Signal["after_dig"],
      dig_chance: row.number("dig_chance"),
      finds,
      hole_id: text("hole_id") ?? (dug === "no" && finds.length === 0 ? null : signalId),
      coil_height_cm: height,
      rule_said: text("rule_said") as Signal["rule_said"],
      rule_version: text("rule_version"),
      outcome_stated: stated,
      kept_private: {
        site_private: text("site_private") === "yes",
        seen_at: text("seen_at"),
        latitude: row.number("latitude"),
        longitude: row.number("longitude"),
        notes: text("notes"),
      },
    },
  };
}
