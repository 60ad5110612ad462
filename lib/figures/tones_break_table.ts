import type { SignalsAboveBreak } from "../tones/mod.ts";
import { type Shown, stated, table } from "./show.ts";
import { tonesArmWords } from "./tones_arm_words.ts";

/**
 * Shows what the iron break tells the ear, a row a machine and discrimination setting: the shares above it, balanced
 * accuracy and Youden's J.
 *
 * @example
 * ```ts
 * import { tonesBreakTable } from "overiron";
 * if (!tonesBreakTable([]).text.startsWith("What the iron break tells")) throw new Error("wrong");
 * ```
 */
export function tonesBreakTable(above: readonly SignalsAboveBreak[]): Shown {
  return table({
    caption:
      "What the iron break tells about dug signals. Balanced accuracy takes above for a masked good and below for iron: one " +
      "half tells nothing",
    columns: [
      "machine",
      "masked goods above",
      "other finds above",
      "iron above",
      "balanced accuracy",
      "Youden's J",
    ],
    rows: above.map(({ of, maskedGood, nonFerrous, ferrous, balancedAccuracy, youden }) => [
      tonesArmWords(of),
      stated("tones.maskedAboveBreak", of, maskedGood),
      stated("tones.nonFerrousAboveBreak", of, nonFerrous),
      stated("tones.ironAboveBreak", of, ferrous),
      stated("tones.breakBalancedAccuracy", of, balancedAccuracy),
      stated("tones.youden", of, youden),
    ]),
  });
}
