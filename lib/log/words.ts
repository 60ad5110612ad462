/** The words a log may use, one list a field. "Not looked" and "not tried" are words: they never mean "none". */
export const WORDS = {
  winding: ["concentric", "overlapped", "single"],
  discrimination: ["none", "iron-silenced", "other", "not-stated"],
  yes_no: ["yes", "no"],
  yes_no_not_tried: ["yes", "no", "not-tried"],
  after_turn: ["holds", "changes", "gone", "not-tried"],
  iron_near: ["none", "some", "full", "not-looked"],
  depth: ["shallow", "middle", "deep"],
  my_call: ["good", "iron", "cannot-say"],
  rule_said: ["dig", "leave", "cannot-say"],
  dug: ["no", "yes", "stopped"],
  stopped_why: ["hazard", "depth", "roots", "stones", "water", "time", "permission", "other"],
  result: ["found", "nothing-found", "not-identified"],
  iron_evidence: ["touching", "in-plug", "in-hole", "stain", "none", "not-looked"],
  after_dig: ["quiet", "still-sounds"],
  metal: ["ferrous", "non-ferrous", "both", "not-sure"],
  keep: ["yes", "no", "hazard"],
  reported: ["yes", "no", "not-needed"],
  outcome_stated: ["ferrous", "non-ferrous", "masked-good", "unknown"],
  outcome_class: ["ferrous", "non-ferrous", "masked-good"],
  outcome_grade: ["measured", "by-evidence", "as-stated"],
  outcome_status: ["known", "unknown", "nothing-found", "stopped", "hazard", "not-dug"],
  medium: ["in-air", "on-surface", "fresh-hole", "matured"],
  side: ["left", "right", "both", "over", "under"],
  ground: ["sand", "loam", "clay", "chalk", "gravel", "peat", "shingle", "ash", "mixed", "other"],
  moisture: ["dry", "damp", "wet", "waterlogged", "other"],
} as const;

/** One word out of a list of `WORDS`. */
export type WordOf<List extends keyof typeof WORDS> = (typeof WORDS)[List][number];
