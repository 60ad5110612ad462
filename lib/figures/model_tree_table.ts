import { counted } from "../numbers/mod.ts";
import { FEATURES, type LearningTable, type TreeStep } from "../model/mod.ts";
import { featureName, ofTable, tableLabel } from "./_model_labels.ts";
import { type Shown, stated, table as showTable } from "./show.ts";
import { formatNumber } from "./_text.ts";

function words(answer: TreeStep["answer"]): string {
  if (answer === null) return "all dug signals";
  const { feature, side, value, withMissing } = answer, name = featureName(feature);
  if (value === null) return side === "there" ? `${name}: there` : `${name}: missing`;
  const unit = FEATURES.find((each) => each.name === feature)?.unit ?? "";
  const at = formatNumber(value, Number.isInteger(value) ? 0 : 2);
  return `${name} ${side} ${at}${unit ? ` ${unit}` : ""}${withMissing ? ", or missing" : ""}`;
}

/**
 * Shows a single tree as a table to be followed by eye: a row a step, set in by how many questions lead to it, with the signals that come
 * there by outcome. The last column tells whether another question is asked. Recorded.
 *
 * @example
 * ```ts
 * import { modelTreeTable } from "overiron";
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * const steps = [{ depth: 0, answer: null, counts: [3, 1, 0] as const, end: true }];
 * const { text } = modelTreeTable({ machine, discrimination: "none" }, steps);
 * if (!text.includes("all dug signals")) throw new Error(text);
 * ```
 */
export function modelTreeTable(
  table: Pick<LearningTable, "machine" | "discrimination">,
  steps: readonly TreeStep[],
): Shown {
  return showTable({
    caption: `The single tree learnt from all dug signals of ${
      tableLabel(table)
    }, to be followed from the top`,
    columns: ["Step", "Ferrous", "Non-ferrous", "Masked good", "Then"],
    rows: steps.map(({ depth, answer, counts, end }, i) => {
      const n = { signals: counts[0] + counts[1] + counts[2] },
        of = { ...ofTable(table), step: String(i + 1) };
      const cell = (outcome: string, count: number) =>
        stated("model.treeStep", { ...of, outcome }, counted(count, n), { form: "value" });
      return [
        `${"\u2014 ".repeat(depth)}${words(answer)}`,
        cell("ferrous", counts[0]),
        cell("non-ferrous", counts[1]),
        cell("masked-good", counts[2]),
        end ? "end" : "asked on",
      ];
    }),
  });
}
