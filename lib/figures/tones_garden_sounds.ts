import { present } from "../numbers/mod.ts";
import type { GardenSounds } from "../tones/mod.ts";
import { passSound, type PassSoundOptions } from "./_pass_sound.ts";
import { folded, say, show, type Shown, stated } from "./show.ts";
import { tonesArmWords } from "./tones_arm_words.ts";

const laid = (gapCm: number) =>
  present(gapCm, { low: gapCm, high: gapCm, level: 1, method: "laid, not estimated" }, { trials: 1 });

/**
 * Lets the reader hear a target alone, a neighbour alone and both together, in random order, and folds away which was which.
 *
 * @example
 * ```ts
 * import { gardenSounds, tonesGardenSounds } from "overiron";
 * const shown = gardenSounds({ machines: [], settings: [], trials: [] })
 *   .flatMap((one) => "absent" in one ? [] : [tonesGardenSounds(one, { ironLoudness: 0.2 })]);
 * if (shown.length !== 0) throw new Error("nothing to hear");
 * ```
 */
export function tonesGardenSounds(example: GardenSounds, options: PassSoundOptions = {}): Shown {
  const { of, machine, target, neighbour, gapCm, sounds } = example;
  const names = sounds.map((_, i) => `Sound ${"ABC"[i]!} of ${tonesArmWords(of)}`);
  return show(
    say`**On ${
      tonesArmWords(of)
    }:** ${target} and ${neighbour}, of one block of the garden, alone and together in random order. Which is which?`,
    ...sounds.map(({ trial }, i) => passSound(trial, machine, names[i]!, options)),
    folded(
      `Which was which on ${tonesArmWords(of)}`,
      say`${sounds.map(({ laid }, i) => `${"ABC"[i]!}: ${laid}`).join("; ")}. Together they lay ${
        stated("tones.soundGapCm", { ...of, target, neighbour }, laid(gapCm), { form: "value" })
      } apart.`,
    ),
  );
}
