import { present } from "../numbers/mod.ts";
import type { BandAgreement } from "../tones/mod.ts";
import { type ResultOf, type Stated, stated } from "./show.ts";

/** The p value of a test of symmetry as a cell; one too small for three decimals says so. */
export function symmetryCell(of: ResultOf, symmetry: BandAgreement["symmetry"]): Stated {
  if ("absent" in symmetry) return stated("tones.symmetryP", of, symmetry);
  const { p, degreesOfFreedom, disagreements } = symmetry;
  const method =
    `Bowker's test, degrees of freedom ${degreesOfFreedom}, what is counted taken as independent`;
  const estimate = present(p, { low: p, high: p, level: 1, method }, { disagreements });
  const shown = stated("tones.symmetryP", of, estimate, { form: "value", decimals: 3 });
  return p < 0.001 ? { ...shown, words: "under 0.001" } : shown;
}
