import type { BandsDropped } from "../tones/mod.ts";
import { type Shown, stated, table } from "./show.ts";
import { tonesArmWords } from "./tones_arm_words.ts";

/**
 * Shows how far neighbours drop targets, a row a machine, discrimination setting and gap class, with intervals by block.
 *
 * @example
 * ```ts
 * import { tonesDropTable } from "overiron";
 * if (!tonesDropTable([]).text.startsWith("Bands dropped")) throw new Error("wrong");
 * ```
 */
export function tonesDropTable(dropped: readonly BandsDropped[]): Shown {
  return table({
    caption:
      "Bands dropped beside a neighbour, by gap. Intervals by block; a rise counts as negative, a trial gone silent as lower",
    columns: ["machine", "gap", "bands dropped", "a band or more", "into the lowest band or silence"],
    rows: dropped.map(({ of, bands, atLeastOne, intoLowest }) => [
      tonesArmWords(of),
      of.gap ?? "",
      stated("tones.bandsDropped", of, bands),
      stated("tones.droppedAtLeastOne", of, atLeastOne),
      stated("tones.intoLowest", of, intoLowest),
    ]),
  });
}
