import type { BandsDropped, SignalsAboveBreak } from "../tones/mod.ts";
import { say, show, type Shown, stated } from "./show.ts";
import { tonesArmWords } from "./tones_arm_words.ts";

const dugBy = ({ ferrous, maskedGood, nonFerrous }: SignalsAboveBreak): number =>
  [ferrous, maskedGood, nonFerrous].reduce((sum, { n }) => sum + (n.signals ?? 0), 0);

/**
 * Says how often masked goods and iron sounded above the iron break, and how far neighbours dropped targets at the
 * narrowest gaps: one paragraph a machine and discrimination setting, the one with most dug signals first.
 *
 * @example
 * ```ts
 * import { tonesAnswer } from "overiron";
 * if (!tonesAnswer([], []).text.includes("No log")) throw new Error("nothing to say must be said");
 * ```
 */
export function tonesAnswer(above: readonly SignalsAboveBreak[], dropped: readonly BandsDropped[]): Shown {
  if (above.length === 0 && dropped.length === 0) return say`No log to answer from.`;
  const field = [...above].sort((a, b) => dugBy(b) - dugBy(a)).map((arm, i) =>
    say`**On ${tonesArmWords(arm.of)}** ${
      stated("tones.maskedAboveBreak", arm.of, arm.maskedGood)
    } of the masked goods dug sounded on or above the iron break, and so did ${
      stated("tones.ironAboveBreak", arm.of, arm.ferrous)
    } of the iron and ${
      stated("tones.nonFerrousAboveBreak", arm.of, arm.nonFerrous)
    } of the other non-ferrous finds. What the break tells the ear about a masked good, as Youden's J${
      i === 0 ? " (nought is nothing, one is all)" : ""
    }: ${stated("tones.youden", arm.of, arm.youden)}.`
  );
  const first = new Map<string, BandsDropped>();
  for (const row of dropped) {
    const key = tonesArmWords(row.of);
    if (!first.has(key)) first.set(key, row);
  }
  const garden = [...first.values()].map((row) =>
    say`In the test garden on ${tonesArmWords(row.of)}, at a gap ${
      row.of.gap ?? ""
    }, a neighbour dropped a target by ${
      stated("tones.bandsDropped", row.of, row.bands)
    }; it fell a band or more in ${
      stated("tones.droppedAtLeastOne", row.of, row.atLeastOne)
    } of the trials and down to the lowest band, or silence, in ${
      stated("tones.intoLowest", row.of, row.intoLowest)
    }.`
  );
  return show(...field, ...garden);
}
