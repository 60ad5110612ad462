import type { CouldBeEither, TableStudy } from "../model/mod.ts";
import { tableLabel } from "./_model_labels.ts";
import { drawEstimateRows } from "./_model_rows.ts";
import { slug } from "./_model_labels.ts";

/** Most sites drawn: those whose sets held what came out least often. */
const MOST_SITES = 20;

/**
 * Draws how often the sets of each site held what came out, a row a site, with Wilson's interval; the dashed line is the level asked for.
 *
 * Of more than 20 sites the 20 of lowest coverage are drawn. Returns an SVG string; throws RangeError without a site.
 *
 * @example
 * ```ts
 * import { couldBeEither, modelCouldBe } from "overiron";
 * const none = new Int32Array(0);
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * const x = { n: 0, names: ["centre"], columns: [new Float64Array(0)], whyMissing: [new Uint8Array(0)], groups: { site: none, outing: none, observer: none } };
 * const leftOut = { unknown: 0, "nothing-found": 0, stopped: 0, hazard: 0, "not-dug": 0 };
 * const table = { machine, discrimination: "none" as const, signals: [], x, outcome: new Uint8Array(0), leftOut };
 * let message = "";
 * try {
 *   modelCouldBe(table, couldBeEither(new Float64Array(0), table.outcome, { group: none }));
 * } catch (error) {
 *   message = (error as Error).message;
 * }
 * if (!message.includes("at least one row")) throw new Error(message);
 * ```
 */
export function modelCouldBe(table: TableStudy["table"], found: CouldBeEither): string {
  const nameOf = new Map<number, string>();
  table.x.groups.site.forEach((site, i) => nameOf.set(site, table.signals[i]!.site));
  const size = ({ covered }: CouldBeEither["coveredBySite"][number]) =>
    "value" in covered ? covered.value : 2;
  const shown = found.coveredBySite.length <= MOST_SITES
    ? found.coveredBySite
    : [...found.coveredBySite].sort((a, b) => size(a) - size(b) || a.site - b.site).slice(0, MOST_SITES);
  const machine = tableLabel(table);
  return drawEstimateRows(
    shown.map(({ site, covered }) => ({
      label: `${nameOf.get(site) ?? String(site)} (${covered.n.signals} signals)`,
      estimate: covered,
      strong: "value" in covered && covered.interval.high < found.level,
    })),
    {
      name: `model-could-be-${slug(machine)}`,
      axis: "share of signals whose set held what came out",
      subject: `How often the sets held what came out, by site, ${machine}`,
      rule: found.level,
    },
  );
}
