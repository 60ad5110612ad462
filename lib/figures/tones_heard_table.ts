import { counted } from "../numbers/mod.ts";
import type { BandHeardByRead } from "../tones/mod.ts";
import { agreementCells } from "./_agreement_cells.ts";
import { folded, say, show, type Shown, stated, table } from "./show.ts";
import { tonesArmWords } from "./tones_arm_words.ts";
import { tonesTally } from "./tones_tally.ts";

/**
 * Shows the tone heard against the band of the readings: agreement with intervals by site, what was left out, and the
 * counts themselves, folded.
 *
 * @example
 * ```ts
 * import { tonesHeardTable } from "overiron";
 * if (!tonesHeardTable([]).text.includes("No tone")) throw new Error("nothing heard must be said");
 * ```
 */
export function tonesHeardTable(heard: readonly BandHeardByRead[]): Shown {
  const there = heard.filter(({ signals }) => signals.n > 0)
    .sort((a, b) => b.signals.n - a.signals.n);
  if (there.length === 0) return say`No tone was written down that is the name of a band.`;
  const agreement = table({
    caption:
      "Tone heard and band of the readings; intervals by site. The p value is that of Bowker's test that the two differ as " +
      "often one way as the other, which takes the signals as independent",
    columns: [
      "machine",
      "the same",
      "the same, tones counting alike (balanced accuracy)",
      "kappa",
      "weighted kappa",
      "of those that differ, readings lower",
      "p of even differences",
      "left out",
    ],
    rows: there.map(({ of, agreement, leftOut, signals }) => {
      const out = Object.values(leftOut).reduce((sum, count) => sum + count, 0);
      return [
        ...agreementCells(of, "heard and read", agreement),
        stated(
          "tones.leftOut",
          { ...of, reason: "no tone or no readings to compare" },
          counted(out, { signals: signals.n + out }),
          {
            form: "value",
          },
        ),
      ];
    }),
  });
  return show(
    agreement,
    folded(
      "Tone heard by band of the readings, counts",
      show(...there.map(({ of, signals }) =>
        tonesTally(signals, {
          id: "tones.heardByRead",
          caption: `${tonesArmWords(of)}: tone heard (rows) by band of the readings`,
          rowTitle: "heard",
        })
      )),
    ),
  );
}
