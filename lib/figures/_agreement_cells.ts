import type { CleanByTogether } from "../tones/mod.ts";
import { symmetryCell } from "./_symmetry_cell.ts";
import { stated } from "./show.ts";
import { tonesArmWords } from "./tones_arm_words.ts";

/** The cells of a row about agreement: whose it is, then how far two ways of naming a band agree, and which way they differ. */
export function agreementCells(
  of: CleanByTogether["of"],
  compared: string,
  agreement: CleanByTogether["agreement"],
) {
  const about = { ...of, compared };
  return [
    tonesArmWords(of),
    stated("tones.sameBand", about, agreement.same),
    stated("tones.balancedAccuracy", about, agreement.balancedAccuracy),
    stated("tones.kappa", about, agreement.kappa),
    stated("tones.weightedKappa", about, agreement.weightedKappa),
    stated("tones.movedDown", about, agreement.movedDown),
    symmetryCell(about, agreement.symmetry),
  ];
}
