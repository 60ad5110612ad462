import { type DecisionCurve, WORTHS } from "../decide/mod.ts";
import type { LearningTable } from "../model/mod.ts";
import { ofTable, ruleOf, tableLabel } from "./_model_labels.ts";
import { type Shown, stated, table as showTable } from "./show.ts";

/**
 * Shows a decision curve in numbers, a row a worth: what the model's rule nets, and what it nets above each other rule, in good
 * holes of a hundred signals with intervals by site.
 *
 * `worths` says which points; default 3, 5 and 10 holes.
 *
 * @example
 * ```ts
 * import { decideCurveTable } from "overiron";
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * const curve = { model: "forest", holes: 0, good: 0, points: [] };
 * const { recorded } = decideCurveTable({ machine, discrimination: "none" }, curve);
 * if (recorded.results.length !== 0) throw new Error("a number from nothing");
 * ```
 */
export function decideCurveTable(
  table: Pick<LearningTable, "machine" | "discrimination">,
  curve: DecisionCurve,
  options: { readonly worths?: readonly number[] } = {},
): Shown {
  const { worths = WORTHS } = options;
  const points = curve.points.filter(({ worth }) => worths.includes(worth));
  const others = points[0]?.rules.slice(1).map(({ rule }) => rule) ?? [];
  const short = { form: "interval" } as const;
  return showTable({
    caption:
      `What the ${ruleOf(curve.model)} nets in 100 signals, ${
        tableLabel(table)
      }: good holes, less the others at the price ` +
      `that the worth sets. n = ${curve.holes} dug signals, ${curve.good} of them not ferrous`,
    columns: [
      "A good signal is worth",
      "Nets",
      "More than digging nothing",
      ...others.map((rule) => `More than ${rule.replace(/^dig /, "digging ")}`),
    ],
    rows: points.map(({ worth, rules }) => [
      `${worth} holes`,
      stated("decide.net", { ...ofTable(table), rule: rules[0]!.rule, worth: String(worth) }, rules[0]!.net, {
        form: "value",
      }),
      stated(
        "decide.netGain",
        { ...ofTable(table), above: "dig nothing", worth: String(worth) },
        rules[0]!.net,
        short,
      ),
      ...rules.slice(1).map(({ rule, modelGain }) =>
        stated("decide.netGain", { ...ofTable(table), above: rule, worth: String(worth) }, modelGain!, short)
      ),
    ]),
  });
}
