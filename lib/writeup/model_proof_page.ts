import type { ModelProof, ProvenMean } from "../model/mod.ts";

/** The most that the mean excess may be, in nats a signal, by the signals of a season. */
export const MOST_EXCESS: Readonly<Record<number, number>> = { 600: 0.15, 3000: 0.1 };

const shown = ({ mean, low, high }: ProvenMean): string =>
  `${mean.toFixed(3)} (${low.toFixed(3)} to ${high.toFixed(3)})`;
const percents = ({ mean, low, high }: ProvenMean): string =>
  `${(100 * mean).toFixed(1)} % (${(100 * low).toFixed(1)} to ${(100 * high).toFixed(1)})`;
const spread = ({ standardDeviation, least, most }: ProvenMean): string =>
  `${standardDeviation.toFixed(3)}; ${least.toFixed(3)} to ${most.toFixed(3)}`;

/**
 * Makes the page that shows what virtual seasons proved of the personal model: `model.md`.
 *
 * @example
 * ```ts
 * import { modelProofPage } from "./model_proof_page.ts";
 * const page = modelProofPage({ schema: "overiron-model-proof/1", seed: 1, sizes: [] }, { command: "deno task prove-model" });
 * if (!page.text.includes("deno task prove-model")) throw new Error("wrong");
 * ```
 */
export function modelProofPage(
  proof: ModelProof,
  options: { readonly command: string },
): { readonly name: string; readonly text: string } {
  const rows = proof.sizes.map((size) => {
    const most = MOST_EXCESS[size.signals];
    return [
      size.signals,
      `${size.seasons - size.withoutFolds} of ${size.seasons}`,
      `${size.dug.mean.toFixed(0)}, ${size.maskedGood.mean.toFixed(0)}`,
      shown(size.excess.forest),
      spread(size.excess.forest),
      most === undefined ? "none set" : `${most}, ${size.excess.forest.mean <= most ? "met" : "NOT MET"}`,
      shown(size.excess.logistic),
      shown(size.flattery),
    ].join(" | ");
  });
  const sets = proof.sizes.flatMap((size) =>
    size.coverage.map(({ outcome, covered, fewCases }) =>
      covered === null || fewCases === null
        ? `${size.signals} | ${outcome} | too few cases | |`
        : `${size.signals} | ${outcome} | ${percents(covered)}, ${covered.seasons} seasons | ${
          (100 * covered.standardDeviation).toFixed(1)
        } points | ${judged(size.level, covered.mean, fewCases)}`
    )
  );
  const text = `# How far the personal model can be trusted

Made by \`${options.command}\`; every number below stands in [model.json](model.json).

Virtual seasons: one machine, nine sites, signals made of physics and dug by a virtual person's rule, so that the true probabilities of the three outcomes can be
worked out. The forest and the logistic model learn from the dug signals, at the settings everybody gets, and are scored on sites they have not seen. Their excess is how far
their log loss lies above that of the true probabilities, in nats a signal: 0 would be perfect knowledge. The truth is given each signal's passes and how mineral
the ground is, but not how much iron the site holds, since nobody standing there knows that either. The engines also see
what the truth leaves out (the quarter turn, the depth shown, iron near), which flatters them a little. It is taken at 200 dug signals of each season, drawn at random.

Numbers are means over seasons with their 95 % interval (Student). "Random folds flatter by": the forest's log loss on unseen sites less that on random
folds, which have signals of every site on both sides; above 0, random folds make it look better than it is.

signals | seasons | dug, masked good | excess of the forest | its spread between seasons; least to most | most allowed | excess of the logistic model | random folds flatter by
---|---|---|---|---|---|---|---
${rows.join("\n")}

**Could be either.** Sets of outcomes at a level of 90 %, calibrated on the other sites: the share of each outcome's signals whose set held it. Asked for is a mean from one point below
the level to three above, plus what few cases add (the mean of 1 / (cases + 1)).

signals | outcome | held | spread between seasons | asked for
---|---|---|---|---
${sets.join("\n")}

What no virtual season holds: a person who learns, a machine that drifts, ground of a kind not made here, a badly written number. The nine sites are the same in every
season; only what lies there, where the coil goes and what is dug differ.
`;
  return { name: "model.md", text };
}

function judged(level: number, held: number, fewCases: number): string {
  const low = level - 0.01, high = level + 0.03 + fewCases;
  return `${(100 * low).toFixed(0)} to ${(100 * high).toFixed(1)} %, ${
    held >= low && held <= high ? "met" : "NOT MET"
  }`;
}
