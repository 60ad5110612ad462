import type { App } from "./app.ts";
import { h } from "./dom.ts";

const rule = (lead: string, text: string): HTMLElement =>
  h("li", {}, h("b", {}, `${lead}${/^\p{Lu}/u.test(text) ? "." : ":"} `), text);

/** The stop rules. The first, in full, always; the others by their first words, in full below. */
export function stopRules(app: App, options: { readonly brief?: boolean } = {}): HTMLElement {
  const { stop, care } = app.kit;
  const [first, ...others] = stop;
  const all = [...others, ...care];
  const names = others.map(({ lead }) => lead[0]!.toLowerCase() + lead.slice(1));
  return h(
    "section",
    { class: "stop", "aria-label": "Stop rules" },
    h("h2", {}, "Stop first"),
    h("p", {}, h("b", {}, `${first!.lead}: `), first!.text),
    options.brief ? null : h(
      "p",
      {},
      h("b", {}, "Also stop: "),
      `${names.join("; ")}. Storm, livestock: go home. Sharp and toxic things: gloves.`,
    ),
    h(
      "details",
      {},
      h("summary", {}, "All stop rules in full"),
      h("ul", {}, all.map(({ lead, text }) => rule(lead, text))),
    ),
  );
}
