import { type AboveBreak, passShareAt } from "../garden/mod.ts";
import { isPresent } from "../numbers/mod.ts";
import { neighbourLabel, withoutUnit } from "./_garden_labels.ts";
import { type Shown, type Stated, stated, table } from "./show.ts";

/**
 * Shows the chance that a pass reads on or above the iron break for every pair, close by and further off, beside that of the neighbour alone and the target alone, with
 * the step over the bare neighbour at the closest gap that two blocks hold; recorded as `garden.aboveBreakAtGap`, `garden.aboveBreakNeighbour`, `garden.aboveBreakTarget`,
 * `garden.aboveBreakTogether` (where there is no curve) and `garden.stepOverNeighbour`.
 *
 * @example
 * ```ts
 * import { gardenAboveBreakTable } from "overiron";
 * if (gardenAboveBreakTable([]).recorded.results.length !== 0) throw new Error("no pair, no number");
 * ```
 */
export function gardenAboveBreakTable(found: readonly AboveBreak[]): Shown {
  const rows = found.map((each): (Stated | string)[] => {
    const of = each.pair.of,
      gaps = [...new Set(each.points.map((point) => point.gap_cm))].sort((a, b) => a - b);
    const show = (id: string, estimate: Parameters<typeof stated>[2], more: Record<string, string> = {}) =>
      stated(id, { ...of, ...more }, estimate, { form: "interval", decimals: 0 });
    const at = (gap: number): Stated =>
      show("garden.aboveBreakAtGap", passShareAt(each.curve, gap, { n: each.n }), { gap_cm: String(gap) });
    const [close, far] = [gaps[0] ?? 0, gaps.at(-1) ?? 0];
    const step = each.steps.find((one) => isPresent(one.step));
    return [
      each.pair.machine,
      `${each.pair.target} + ${neighbourLabel(each.pair)}${
        typeof each.curve !== "string" && each.curve.separated
          ? " (a step: one gap tells all passes apart)"
          : ""
      }`,
      ...(typeof each.curve === "string"
        ? [show("garden.aboveBreakTogether", each.together), each.curve]
        : [at(close), at(far)]),
      show("garden.aboveBreakNeighbour", each.neighbourAlone),
      show("garden.aboveBreakTarget", each.targetAlone),
      ...(step === undefined ? ["\u2013", "\u2013"] : [
        withoutUnit(show("garden.stepOverNeighbour", step.step, { gap_cm: String(step.gap_cm) })),
        `${step.gap_cm} cm`,
      ]),
    ];
  });
  return table({
    caption:
      "Passes on or above the iron break, with their intervals: at the closest and the widest gap laid (all gaps together where they read alike), and of the two objects alone",
    columns: [
      "Machine",
      "Target + neighbour",
      "Closest gap",
      "Widest gap",
      "Neighbour alone",
      "Target alone",
      "Step over the bare neighbour, reading units",
      "at",
    ],
    rows,
  });
}
