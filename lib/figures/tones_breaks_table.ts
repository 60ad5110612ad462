import type { BetterBreaks } from "../tones/mod.ts";
import { say, show, type Shown, stated, table } from "./show.ts";
import { tonesArmWords } from "./tones_arm_words.ts";

/**
 * Shows breaks chosen on the season's own signals and what they are worth on sites they were not chosen on; where the
 * sites cannot show that, a sentence says why.
 *
 * @example
 * ```ts
 * import { tonesBreaksTable } from "overiron";
 * if (!tonesBreaksTable([]).text.startsWith("Breaks")) throw new Error("wrong");
 * ```
 */
export function tonesBreaksTable(found: readonly BetterBreaks[]): Shown {
  const told = found.filter(({ heldOutGain }) => "value" in heldOutGain);
  const untold = found.filter(({ heldOutGain }) => "absent" in heldOutGain);
  const breaks = table({
    caption:
      "Breaks chosen at the stated cost, against the machine's own. Gains in iron holes a signal; the held-out gain is " +
      "the one to believe. Intervals by site",
    columns: [
      "machine",
      "lowest break chosen",
      "gain where it was chosen",
      "gain on held-out sites",
      "flattery",
      "good targets dug more",
      "iron dug more",
      "remark",
    ],
    rows: told.map((
      { of, chosen, lowestBreak, apparentGain, heldOutGain, optimism, goodDugMore, ironDugMore },
    ) => [
      tonesArmWords(of),
      stated("tones.lowestBreak", of, lowestBreak),
      stated("tones.apparentGain", of, apparentGain, { form: "interval" }),
      stated("tones.heldOutGain", of, heldOutGain, { form: "interval" }),
      stated("tones.optimism", of, optimism, { form: "interval" }),
      stated("tones.goodDugMore", of, goodDugMore, { form: "interval" }),
      stated("tones.ironDugMore", of, ironDugMore, { form: "interval" }),
      "absent" in chosen ? chosen.reason : chosen.note ?? "",
    ]),
  });
  return show(
    ...(told.length > 0 || untold.length === 0 ? [breaks] : []),
    ...untold.map(({ of, lowestBreak, heldOutGain }) =>
      say`On ${tonesArmWords(of)} no better break can be told. Lowest break chosen: ${
        stated("tones.lowestBreak", of, lowestBreak)
      }. Gain on held-out sites: ${stated("tones.heldOutGain", of, heldOutGain)}.`
    ),
  );
}
