import { counted } from "../numbers/mod.ts";
import { digOneIn, WORTHS, type WouldPass } from "../decide/mod.ts";
import type { SignalTable } from "../model/mod.ts";
import { ofTable, tableLabel } from "./_model_labels.ts";
import { say, show, type Shown, stated, table as showTable } from "./show.ts";

/**
 * Says what came of the signals one would pass by and dug all the same, and how many of them to dig at each worth of a good
 * signal; a row a worth. Never for a signal with a STOP sign.
 *
 * @example
 * ```ts
 * import { absent, decideOneInTable } from "overiron";
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * const good = absent("no cases", "There are no holes to divide by", { holes: 0 });
 * const { text } = decideOneInTable({ machine, discrimination: "none" }, { by: "own call", passed: 40, dug: 0, good });
 * if (!text.includes("one in 5")) throw new Error(text);
 * ```
 */
export function decideOneInTable(
  table: Pick<SignalTable, "machine" | "discrimination">,
  { by, passed, dug, good }: WouldPass,
  options: { readonly worths?: readonly number[] } = {},
): Shown {
  const { worths = WORTHS } = options;
  const of = ofTable(table);
  const kind = by === "own call" ? "called iron" : "below the iron break";
  const words = {
    "dig them": "dig them: they pay",
    pass: "pass, but keep looking",
    learn: "cannot tell yet",
  };
  const told = say`On ${tableLabel(table)}, ${
    stated("decide.passedBy", of, counted(passed, { signals: passed }))
  } signals ${kind} were not dug. Of those dug all the same, ${
    stated("decide.goodThoughPassed", of, good)
  } were not ferrous.`;
  if (passed === 0) return told;
  return show(
    told,
    showTable({
      caption: `How many of the signals ${kind} to dig all the same, ${tableLabel(table)}`,
      columns: ["A good signal is worth", "What the holes say", "Dig", "Holes in as many signals"],
      rows: worths.map((worth) => {
        const { advice, oneIn, holes, moreThanPassed } = digOneIn(good, { passed, dug, worth });
        const about = { ...of, worth: String(worth) };
        const n = { "signals passed by": passed };
        const one = stated("decide.digOneIn", about, counted(oneIn, n), { form: "value" });
        return [
          `${worth} holes`,
          words[advice],
          oneIn === 1 ? { ...one, words: "all of them" } : { ...one, words: `one in ${one.words}` },
          moreThanPassed
            ? `more than the ${passed} passed by`
            : stated("decide.holesToLearn", about, counted(holes, n), { form: "value" }),
        ];
      }),
    }),
  );
}
