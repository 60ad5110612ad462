import type { Garden, Outcome, Season } from "../../lib/log/mod.ts";
import { deepFreeze, machineA, passes, signal, trial } from "../tones/_log_rows.ts";

/** A disc clean, the same beside a nail, and a trial without readings. */
export const garden: Garden = deepFreeze({
  machines: [machineA],
  settings: [],
  trials: [
    trial("c", { target: "disc", right: passes(500) }),
    trial("t", { target: "disc", neighbour: "nail", gap_cm: 1, right: passes(100, 220) }),
    trial("u", { target: "disc", neighbour: "nail", gap_cm: 1 }),
  ],
});

const known = (name: Outcome["class"]): Outcome => ({ status: "known", class: name, grade: "measured" });
/** Iron that sounded as it reads, and a masked good that was heard higher. */
export const season: Season = deepFreeze({
  machines: [machineA],
  settings: [],
  signals: [
    signal("1", { dug: "yes", outcome: known("ferrous"), right: passes(100), tone_heard: "iron" }),
    signal("2", { dug: "yes", outcome: known("masked-good"), right: passes(300), tone_heard: "high" }),
  ],
});
