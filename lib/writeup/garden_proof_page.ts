import { gardenProofAnswers } from "../figures/garden_proof_answers.ts";
import type { GardenProof, ProvenShare } from "../garden/mod.ts";

export interface GardenProofPageOptions {
  /** The command that made the numbers. */
  readonly command: string;
}

const percent = (share: number): string => (100 * share).toFixed(1);
const shown = (share: ProvenShare): string =>
  share.of === 0
    ? "none"
    : `${percent(share.share)} % (${percent(share.low)} to ${percent(share.high)}; ${share.of})`;

/**
 * Makes the pages that show what simulated gardens proved: `garden.md` with the numbers, `garden.svg` with the answers.
 *
 * @example
 * ```ts
 * import { proveGarden } from "overiron";
 * import { gardenProofPage } from "./garden_proof_page.ts";
 * const [page] = gardenProofPage(proveGarden({ gardens: 2 }), { command: "deno task prove-garden" });
 * if (!page!.text.includes("deno task prove-garden")) throw new Error("wrong");
 * ```
 */
export function gardenProofPage(
  proof: GardenProof,
  options: GardenProofPageOptions,
): readonly { readonly name: string; readonly text: string }[] {
  const rows = proof.kinds.map((kind) =>
    [
      { phasor: "two phasors", working: "working curve", physics: "physics" }[kind.form],
      `${kind.blocks} of ${kind.trialsPerBlock}`,
      shown(kind.covered),
      shown(kind.coveredWithHalfGap),
      shown(kind.coveredWithoutHalfGap),
      kind.medianErrorCm === null ? "none" : kind.medianErrorCm.toFixed(2),
      shown(kind.falseHalfGap),
      shown(kind.falseNever),
    ].join(" | ")
  );
  const text = `# How far the garden's numbers can be trusted

Made by \`${options.command}\`; every number below stands in [garden.json](garden.json).

${proof.gardens} simulated gardens of each kind, each with one target and two neighbours whose true q is known: the square of the distance between centres at
which both are equally loud. Readings scatter between passes, trials and blocks and are rounded to the display. "Two phasors" follows the
closed form for two objects in one plane of phase, which the fitted curve only approximates; "working curve" follows the fitted curve's own form; "physics" is the virtual garden: coil, disc and two nails by induction
physics, with passes beside the mark, flicker, and gaps measured 1.5 mm off; its truth is the half gap without noise. What no such
garden holds: the ground, coupling at touching distance, a scale that is not linear in phase, a badly written number.

Shares come with their 95 % interval (Wilson) and with how many they are shares of. "False" answers are counted by garden.

made by | blocks of trials | 95 % intervals of q that hold it | of pairs with a half gap | of pairs without | median error of the half gap, cm | false half gap | false never
---|---|---|---|---|---|---|---
${rows.join("\n")}

![Answers against the true q](garden.svg)

**The form's own error.** The curve is only a working form for two dipoles read in both directions: without any noise its q lies about 0.19 cm2 low in the physics gardens,
0.02 cm of half gap. Trials near one half count most in the fit, because there the form holds best; the intervals of q, of the half gap and of the curve's band are widened by what is left, as
far as four of five noiseless gardens of the same physics need it (made with other seeds than those tested here). Another machine may be
further off. Do not read a half gap more finely than a millimetre, whatever its interval says.

Trials of a block count its controls. The interval of q is absent where all drags lie near 0 or near 1; such pairs are not in the coverage. Of physics pairs without a half gap no true q is known.
`;
  return [{ name: "garden.md", text }, {
    name: "garden.svg",
    text: `${gardenProofAnswers(proof)}\n`,
  }];
}
