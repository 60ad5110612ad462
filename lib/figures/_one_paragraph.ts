import { Output } from "./_output.ts";
import type { Shown } from "./show.ts";

/** Joins sentences that were said one by one into one paragraph; what they record stays. */
export function oneParagraph(...said: readonly Shown[]): Shown {
  const bare = said.map(({ html }) => html.replace(/^<p class="said">|<\/p>$/g, ""));
  return new Output(`<p class="said">${bare.join(" ")}</p>`, said.map(({ text }) => text).join(" "), {
    results: said.flatMap(({ recorded }) => recorded.results),
    tables: said.flatMap(({ recorded }) => recorded.tables),
    predictions: said.flatMap(({ recorded }) => recorded.predictions),
  });
}
