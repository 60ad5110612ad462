import type { SeasonAtAGlance } from "../sweep/mod.ts";
import { counted } from "../numbers/mod.ts";
import { type Shown, stated, table } from "./show.ts";

/**
 * Shows what the holes of each site gave: signals, holes, finds, good finds, and the share of holes with a good find.
 *
 * @example
 * ```ts
 * import { seasonAtAGlance, seasonSiteTable } from "overiron";
 * const shown = seasonSiteTable(seasonAtAGlance({ machines: [], settings: [], signals: [] }));
 * if (!shown.text.startsWith("Holes")) throw new Error(shown.text);
 * ```
 */
export function seasonSiteTable(glance: Pick<SeasonAtAGlance, "sites">): Shown {
  return table({
    caption:
      "Holes by site. The share of holes with a good find has Wilson's interval: holes of one site taken as independent",
    columns: ["site", "signals", "holes", "finds", "good finds", "holes with a good find"],
    rows: glance.sites.map(({ site, signals, holes, finds, goodFinds, goodHoles }) => {
      const count = (id: string, value: number) =>
        stated(id, { site }, counted(value, { signals }), { form: "value" });
      return [
        site,
        count("season.signals", signals),
        count("season.holes", holes),
        count("season.finds", finds),
        count("season.goodFinds", goodFinds),
        stated("season.goodHoles", { site }, goodHoles, { form: "interval" }),
      ];
    }),
  });
}
