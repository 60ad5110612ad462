import { type Absent, counted } from "../numbers/mod.ts";
import type { DigOrPass, DigOrPassQuestion } from "../tones/mod.ts";
import { passSound, type PassSoundOptions } from "./_pass_sound.ts";
import { plainWord } from "./plain_word.ts";
import { folded, say, show, type Shown, stated } from "./show.ts";
import { tonesArmWords } from "./tones_arm_words.ts";

const answerOf = ({ dig, outcome, grade }: DigOrPassQuestion): string => {
  const what = outcome === "non-ferrous" ? "a non-ferrous find marked to keep" : plainWord(outcome);
  const named = outcome === "masked-good" ? `a ${what}` : outcome === "ferrous" ? "iron" : what;
  return `${dig ? "Dig" : "Pass"}: ${named}${grade === null ? "" : ` (${plainWord(grade)})`}.`;
};

/**
 * Shows a quiz of sounds, "dig or pass", each with its answer folded away under it.
 *
 * Answers tell what came out and how well that is known, and nothing else of the log. An absence is told with its reason.
 *
 * @example
 * ```ts
 * import { digOrPass, tonesQuiz } from "overiron";
 * const shown = tonesQuiz(digOrPass({ machines: [], settings: [], signals: [] }));
 * if (!shown.text.startsWith("No quiz")) throw new Error(shown.text);
 * ```
 */
export function tonesQuiz(quiz: DigOrPass | Absent, options: PassSoundOptions = {}): Shown {
  if ("absent" in quiz) return say`No quiz: ${quiz.reason}.`;
  const { of, machine, questions, drawnFrom } = quiz;
  const n = { signals: drawnFrom.dig + drawnFrom.pass };
  const from = (outcome: string, count: number) =>
    stated("tones.quizDrawnFrom", { ...of, outcome }, counted(count, n), { form: "value" });
  return show(
    say`**Dig or pass?** Signals of ${tonesArmWords(of)} in random order, drawn from ${
      from("worth a hole", drawnFrom.dig)
    } that were worth a hole and ${
      from("iron", drawnFrom.pass)
    } of iron, as many of each. In the field iron comes far more often, and one sweeps on for as long as one likes.`,
    ...questions.flatMap((question, i) => {
      const name = `Sound ${i + 1}: dig or pass?`;
      return [
        passSound(question.signal, machine, name, options),
        folded(`Answer to sound ${i + 1}`, say`${answerOf(question)}`),
      ];
    }),
  );
}
