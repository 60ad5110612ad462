import { counted } from "../numbers/mod.ts";
import type { RuleCosts } from "../decide/mod.ts";
import type { LearningTable } from "../model/mod.ts";
import { ofTable, tableLabel } from "./_model_labels.ts";
import { type Shown, stated, table as showTable } from "./show.ts";

/**
 * Shows what dig rules cost in holes, a row a rule: holes dug, good finds in them, holes for one good find, holes spared and good
 * finds left behind, with intervals by site. All numbers are recorded.
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
