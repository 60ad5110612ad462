import * as Plot from "@observablehq/plot";
import { renderPlot, seriesColors } from "./_svg.ts";
import { slug } from "./_model_labels.ts";
import { plainWord } from "./plain_word.ts";

/** What {@link modelConfusion} draws: counts, rows what came out, columns what the engine held likeliest. */
export interface ModelConfusionParts {
  readonly machine: string;
  readonly engine: string;
  readonly outcomes: readonly string[];
  readonly counts: readonly (readonly number[])[];
}

/**
 * Draws a confusion matrix: a row an outcome, a column what the engine held likeliest, in each cell the count and its share of
 * the row, the darker the larger the share.
 *
 * Returns an SVG string. Throws RangeError unless the counts are square and fit the outcomes.
 *
 * @example
 * ```ts
 * import { modelConfusion } from "overiron";
 * const svg = modelConfusion({ machine: "Machine A", engine: "tone rule", outcomes: ["ferrous", "worth a hole"], counts: [[9, 1], [2, 8]] });
 * if (!svg.includes("90")) throw new Error("the share of the row is missing");
 * ```
 */
export function modelConfusion(parts: ModelConfusionParts): string {
  const { machine, engine, counts } = parts, outcomes = parts.outcomes.map(plainWord);
  if (counts.length !== outcomes.length || counts.some((row) => row.length !== outcomes.length)) {
    throw new RangeError(`Cannot draw confusion matrix: need ${outcomes.length} x ${outcomes.length} counts`);
  }
  const totals = counts.map((row) => row.reduce((sum, count) => sum + count, 0));
  const cells = counts.flatMap((row, i) =>
    row.map((count, j) => ({
      outcome: `${outcomes[i]!} (${totals[i]!})`,
      called: outcomes[j]!,
      count,
      share: totals[i]! > 0 ? count / totals[i]! : 0,
      text: totals[i]! > 0 ? `${count}\n${Math.round(100 * count / totals[i]!)} %` : "0",
    }))
  );
  const longest = Math.max(...cells.map((cell) => cell.outcome.length));
  const svg = renderPlot({
    width: 640,
    height: 96 + 78 * outcomes.length,
    marginLeft: 52 + longest * 8,
    marginTop: 16,
    marginBottom: 60,
    padding: 0.04,
    x: {
      domain: outcomes,
      label: "likeliest by the engine",
      labelAnchor: "center",
      labelArrow: "none",
      tickSize: 0,
    },
    y: {
      domain: outcomes.map((name, i) => `${name} (${totals[i]!})`),
      label: "outcome (signals)",
      tickSize: 0,
    },
    marks: [
      Plot.cell(cells, {
        x: "called",
        y: "outcome",
        fill: seriesColors[5]!,
        fillOpacity: (cell: { readonly share: number }) => 0.06 + 0.7 * cell.share,
        stroke: "currentColor",
        strokeOpacity: 0.3,
      }),
      Plot.text(cells, { x: "called", y: "outcome", text: "text", fontWeight: 600, lineHeight: 1.3 }),
    ],
  }, {
    name: `model-confusion-${slug(machine)}`,
    alt: `Confusion matrix of ${engine} on unseen sites, ${machine}, ${
      totals.reduce((a, b) => a + b, 0)
    } signals. ${
      counts.map((row, i) =>
        `Of ${totals[i]!} ${outcomes[i]!}: ${
          row.map((count, j) => `${count} called ${outcomes[j]!}`).join(", ")
        }`
      ).join(". ")
    }.`,
  });
  return svg;
}
