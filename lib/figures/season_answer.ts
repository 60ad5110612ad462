import type { SeasonAtAGlance } from "../sweep/mod.ts";
import { counted } from "../numbers/mod.ts";
import { say, type Shown, stated } from "./show.ts";

/**
 * Says in a few sentences what the season held and what a good find cost.
 *
 * @example
 * ```ts
 * import { seasonAnswer, seasonAtAGlance } from "overiron";
 * const shown = seasonAnswer(seasonAtAGlance({ machines: [], settings: [], signals: [] }));
 * if (!shown.text.includes("0 signals")) throw new Error(shown.text);
 * ```
 */
export function seasonAnswer(glance: SeasonAtAGlance): Shown {
  const { signals, holes, finds, goodFinds, sites, holesPerGoodFind, meanFindsPerHole, leftUndug } = glance;
  const count = (id: string, value: number) => stated(id, {}, counted(value, { signals }), { form: "value" });
  const outcome = (name: string) =>
    stated(
      "season.outcomes",
      { outcome: name },
      counted(glance.outcomes.find((one) => one.outcome === name)?.signals ?? 0, { signals }),
      { form: "value" },
    );
  const cost = stated("season.holesPerGoodFind", {}, holesPerGoodFind);
  return say`**Holes for one good find: ${cost}.** The season held ${
    count("season.signals", signals)
  } signals on ${count("season.sites", sites.length)} sites; ${
    count("season.holes", holes)
  } holes were dug to the end and gave ${count("season.finds", finds)} finds, ${
    count("season.goodFinds", goodFinds)
  } of them worth keeping. Finds in a hole: ${stated("season.findsPerHole", {}, meanFindsPerHole)} on average.

Of the signals, ${outcome("masked-good")} were masked goods, ${
    outcome("non-ferrous")
  } other non-ferrous finds and ${outcome("ferrous")} iron. ${outcome("unknown")} stayed unknown, ${
    outcome("nothing-found")
  } gave nothing, ${outcome("stopped")} were stopped, ${outcome("hazard")} were hazards and ${
    outcome("not-dug")
  } were left in the ground: ${stated("season.leftUndug", {}, leftUndug)} of all.`;
}
