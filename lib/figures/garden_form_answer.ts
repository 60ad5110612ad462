import type { FormComparison } from "../garden/mod.ts";
import { say, show, type Shown } from "./show.ts";

const listed = (words: readonly string[]): string =>
  words.length < 2 ? words.join("") : `${words.slice(0, -1).join(", ")} and ${words.at(-1)}`;

/**
 * Says for each machine and target which rival forms foretell blocks left out better or worse than the curve in use, and of which that cannot be told.
 *
 * @example
 * ```ts
 * import { gardenFormAnswer } from "overiron";
 * if (gardenFormAnswer([]).text !== "") throw new Error("nothing compared, nothing to say");
 * ```
 */
export function gardenFormAnswer(forms: readonly FormComparison[]): Shown {
  return show(...forms.map((each) => {
    const with_ = (verdict: string) =>
      each.scores.filter((score) => score.verdict === verdict).map((score) => score.form as string);
    const [better, worse, open] = [with_("better"), with_("worse"), with_("cannot tell")];
    const parts = [
      better.length > 0
        ? `better than the curve in use: ${listed(better)}`
        : "no rival is better than the curve in use",
      ...(worse.length > 0 ? [`worse: ${listed(worse)}`] : []),
      ...(open.length > 0 ? [`cannot tell: ${listed(open)}`] : []),
    ];
    return say`On blocks left out, ${each.target} on ${each.machine}: ${parts.join("; ")}.`;
  }));
}
