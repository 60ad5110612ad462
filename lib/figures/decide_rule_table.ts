import { counted } from "../numbers/mod.ts";
import type { RuleCosts } from "../decide/mod.ts";
import type { LearningTable } from "../model/mod.ts";
import { ofTable, tableLabel } from "./_model_labels.ts";
import { type Shown, stated, table as showTable } from "./show.ts";

/**
 * Shows what dig rules cost in holes, a row a rule: holes dug, good finds in them, holes for one good find, holes spared and good
 * finds left behind, with intervals by site. All numbers are recorded.
 *
 * @example
 * ```ts
 * import { decideRuleTable, ruleCosts, studyTable } from "overiron";
 * const none = new Int32Array(0);
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * const x = { n: 0, names: ["centre"], columns: [new Float64Array(0)], whyMissing: [new Uint8Array(0)], groups: { site: none, outing: none, observer: none } };
 * const leftOut = { unknown: 0, "nothing-found": 0, stopped: 0, hazard: 0, "not-dug": 0 };
 * const table = { machine, discrimination: "none" as const, signals: [], x, outcome: new Uint8Array(0), leftOut };
 * const study = await studyTable(table, { seed: 1 });
 * if (decideRuleTable(table, ruleCosts(study)).recorded.results.length !== 0) throw new Error("a number from nothing");
 * ```
 */
export function decideRuleTable(table: LearningTable, { costs, holes }: RuleCosts): Shown {
  const short = { form: "interval" } as const;
  return showTable({
    caption: `What a dig rule would have cost on the holes dug, ${tableLabel(table)}`,
    columns: ["Rule", "Holes", "Good finds", "Holes a good find", "Holes spared", "Good finds left behind"],
    rows: costs.map((cost) => {
      const of = { ...ofTable(table), rule: cost.name };
      return [
        cost.name,
        stated("decide.holes", of, counted(cost.holes, { holes })),
        stated("decide.goodFinds", of, counted(cost.goodFinds, { holes: cost.holes })),
        stated("decide.holesPerGoodFind", of, cost.holesPerGoodFind, short),
        stated("decide.holesSpared", of, cost.holesSpared, short),
        stated("decide.goodsMissed", of, cost.goodsMissed, short),
      ];
    }),
  });
}
