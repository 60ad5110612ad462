import * as Plot from "@observablehq/plot";
import type { GardenProof } from "../garden/mod.ts";
import { renderPlot, seriesColors } from "./_svg.ts";

/**
 * Draws which answer simulated gardens give against the true q, one plot a kind of garden: half gap, never, or cannot tell yet, as shares of the pairs.
 *
 * Across: q in cm2, the square of the distance at which both are equally loud; below the line at 2.25 there is no half gap. Returns an SVG string.
 * Throws RangeError for a proof without gardens.
 *
 * @example
 * ```ts
 * import { gardenProofAnswers, proveGarden } from "overiron";
 * if (!gardenProofAnswers(proveGarden({ gardens: 2 })).includes("<svg")) throw new Error("wrong");
 * ```
 */
export function gardenProofAnswers(proof: GardenProof): string {
  if (proof.kinds.length === 0) throw new RangeError("Cannot draw answers: need a kind of garden, got 0");
  const said = [
    ["halfGap", "a half gap", seriesColors[0]!],
    ["never", "never", seriesColors[1]!],
    ["cannotTell", "cannot tell yet", seriesColors[2]!],
  ] as const;
  const rows = proof.kinds.flatMap((kind, index) =>
    kind.answers.filter((bin) => bin.pairs > 0).flatMap((bin) =>
      said.map(([answer, , color]) => ({
        fx: index % 2,
        fy: Math.floor(index / 2),
        q: (bin.fromCm2 + bin.toCm2) / 2,
        share: bin[answer] / bin.pairs,
        answer,
        color,
      }))
    )
  );
  const heads = proof.kinds.map((kind, index) => ({
    fx: index % 2,
    fy: Math.floor(index / 2),
    text: `${
      kind.form === "phasor" ? "two phasors" : "working curve"
    }, ${kind.blocks} blocks of ${kind.trialsPerBlock}`,
  }));
  return renderPlot({
    width: 720,
    height: 90 + Math.ceil(proof.kinds.length / 2) * 220,
    marginTop: 40,
    fx: { axis: null, padding: 0.12 },
    fy: { axis: null, padding: 0.3 },
    x: { label: "q, cm2", labelAnchor: "center", labelArrow: "none" },
    y: { label: null, domain: [0, 1], ticks: [0, 0.5, 1], grid: true },
    marks: [
      Plot.ruleX(heads, {
        fx: "fx",
        fy: "fy",
        x: () => 2.25,
        stroke: "currentColor",
        strokeDasharray: "4 3",
      }),
      Plot.line(rows, {
        fx: "fx",
        fy: "fy",
        x: "q",
        y: "share",
        z: "answer",
        stroke: (d) => d.color,
        strokeWidth: 2,
      }),
      Plot.dot(rows, { fx: "fx", fy: "fy", x: "q", y: "share", r: 3.5, fill: (d) => d.color }),
      Plot.text(heads, {
        fx: "fx",
        fy: "fy",
        text: "text",
        frameAnchor: "top-left",
        dy: -24,
        fontWeight: "bold",
        fontSize: 14,
      }),
    ],
    color: { type: "identity" },
  }, {
    name: "garden-proof",
    alt:
      `Share of each answer against the true q in ${proof.gardens} simulated gardens of each of ${proof.kinds.length} kinds: never where q is well below 2.25 cm2, a half gap where it is well above, cannot tell yet between.`,
    legend: said.map(([, label, color]) => ({ label, color, sign: "line" as const })),
  });
}
