import type { Outcome, Season, Signal } from "../../lib/log/mod.ts";
import { deepFreeze, machineA, machineB, passes, signal } from "../tones/_log_rows.ts";

export const known = (name: Outcome["class"]): Outcome => ({
  status: "known",
  class: name,
  grade: "by-evidence",
});

/** A season of these signals on the two invented machines. */
export const seasonOf = (signals: readonly Signal[]): Season =>
  deepFreeze({ machines: [machineA, machineB], settings: [], signals });

/** Four signals on two sites: iron twice, a masked good, and one that was passed. */
export const four: Season = seasonOf([
  signal("1", { site: "Site A", dug: "yes", outcome: known("ferrous"), right: passes(100) }),
  signal("2", { site: "Site A", dug: "yes", outcome: known("masked-good"), right: passes(600) }),
  signal("3", { site: "Site B" }),
  signal("4", { site: "Site B", dug: "yes", outcome: known("ferrous"), right: passes(210) }),
]);
