import { describe, expect, test } from "vitest";
import { tonesQuiz } from "../../lib/figures/tones_quiz.ts";
import { absent } from "../../lib/numbers/mod.ts";
import type { DigOrPassQuestion } from "../../lib/tones/mod.ts";
import { wavFacts } from "../../lib/tones/wav_facts.ts";
import { machineA, passes, signal } from "../tones/_log_rows.ts";
import { soundsIn } from "./_sounds_in.ts";

const of = { machine: "Machine A", discrimination: "none" };
const right = passes(100, 330, 500, 500), left = passes(330, 330, 330);
const question = (id: string, outcome: DigOrPassQuestion["outcome"]): DigOrPassQuestion => ({
  signal: signal(id, { right, left, observer: "Ines", site: "Ferry landing" }),
  dig: outcome !== "ferrous",
  outcome,
  grade: "by-evidence",
});

describe("tonesQuiz()", () => {
  const questions = [question("s1", "masked-good"), question("s2", "ferrous"), question("s3", "non-ferrous")];
  const shown = tonesQuiz({ of, machine: machineA, questions, drawnFrom: { dig: 12, pass: 30 } });
  test("plays each sound and folds its answer away, after the sound", () => {
    expect(soundsIn(shown.html)).toHaveLength(3);
    expect(shown.html.match(/<details class="folded"><summary>Answer to sound \d<\/summary>/g)).toHaveLength(
      3,
    );
    const open = shown.html.replace(/<details.*?<\/details>/gs, "");
    expect(open).not.toMatch(/masked good|Pass:|Dig:/);
    expect(shown.text).toContain("Dig: a masked good (by evidence).");
    expect(shown.text).toContain("Pass: iron (by evidence).");
    expect(shown.text).toContain("Dig: a non-ferrous find marked to keep (by evidence).");
  });
  test("is small, stereo and quiet: 1.6 s, 8 bits at 8 kHz, five passes at most", () => {
    for (const sound of soundsIn(shown.html)) {
      const facts = wavFacts(sound);
      expect(facts).toMatchObject({ channels: 2, rateHz: 8000, bits: 8, seconds: 1.6 });
      expect(facts.peak).toBeLessThanOrEqual(0.5);
    }
    expect(shown.html).toContain("right iron, left middle, right middle, left middle, right high.");
  });
  test("records what it was drawn from, and tells nothing private", () => {
    expect(
      shown.recorded.results.map(({ id, of, ...rest }) => [id, of!.outcome, "value" in rest && rest.value]),
    )
      .toEqual([["tones.quizDrawnFrom", "worth a hole", 12], ["tones.quizDrawnFrom", "iron", 30]]);
    expect(shown.html).not.toMatch(/Ines|Ferry/);
  });
  test("says why there is none", () => {
    expect(tonesQuiz(absent("too few", "A quiz needs more", { signals: 1 })).text).toBe(
      "No quiz: A quiz needs more.",
    );
  });
});
