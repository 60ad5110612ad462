import { z } from "zod";
import { escapeHtml } from "./_escape.ts";
import { sharedText } from "./_shared_text.ts";

const schema = z.record(
  z.string().regex(/^[a-z][a-z0-9-]*$/),
  z.strictObject({
    text: z.string(),
    doi: z.string().regex(/^10\.\d{4,9}\/[^\s"<>]+$/).optional(),
    method: z.string().optional(),
  }),
);

/** The sources of `shared/references.json`, by key. */
export const references = (): z.infer<typeof schema> =>
  schema.parse(JSON.parse(sharedText("references.json")));

/** Applies a change to the text of a page's body, and leaves preformatted text as it is: code is shown as written. */
function outsideCode(html: string, change: (text: string) => string): string {
  return html.split(/(<pre[\s\S]*?<\/pre>)/).map((piece, i) => i % 2 === 1 ? piece : change(piece)).join("");
}

/** What a body of parts became once its figures and sources were referred to by number. */
export interface Referred {
  readonly parts: readonly string[];
  /** Keys of the sources in the order of their numbers. */
  readonly cited: readonly string[];
}

/**
 * Turns `[fig:id]` into a link with the figure's number and `[@key]` into one with the source's. Sources of the methods that
 * the page's intervals name follow those that its text cites.
 *
 * A figure that is not on the page is said to be left out; a key that is not known stays as it was written.
 */
export function refer(parts: readonly string[], methods: readonly string[]): Referred {
  const numbers = new Map<string, string>();
  for (const html of parts) {
    for (
      const [, id, number] of html.matchAll(
        /<figure id="fig-([a-z0-9-]+)"[\s\S]*?<span class="no">Figure (\d+)\./g,
      )
    ) {
      if (!numbers.has(id!)) numbers.set(id!, number!);
    }
  }
  const known = references();
  const cited: string[] = [];
  const numberOf = (key: string): number => {
    if (!cited.includes(key)) cited.push(key);
    return cited.indexOf(key) + 1;
  };
  const linked = parts.map((html) =>
    outsideCode(html, (text) =>
      text.replace(/\[fig:([a-z0-9-]+)\]/g, (_, id: string) => {
        const number = numbers.get(id);
        return number === undefined ? "a figure left out here" : `<a href="#fig-${id}">Figure ${number}</a>`;
      }).replace(/\[@([a-z][a-z0-9-]*)\]/g, (whole, key: string) =>
        known[key] === undefined ? whole : `<a class="cite" href="#ref-${key}">[${numberOf(key)}]</a>`))
  );
  for (const [key, { method }] of Object.entries(known)) {
    if (method !== undefined && methods.some((each) => new RegExp(method).test(each))) numberOf(key);
  }
  return { parts: linked, cited };
}

/** The list of sources. */
export function referencesHtml(cited: readonly string[]): string {
  const known = references();
  const items = cited.map((key) => {
    const { text, doi } = known[key]!;
    const link = doi === undefined
      ? ""
      : ` <a href="https://doi.org/${escapeHtml(doi)}">doi:${escapeHtml(doi)}</a>`;
    return `<li id="ref-${key}">${escapeHtml(text)}.${link}</li>`;
  });
  return `<section class="part" aria-labelledby="references"><h2 id="references">References</h2>
<p>Sources of the methods behind the intervals on this page, and what its text cites.</p>
<ol class="references">${items.join("\n")}</ol></section>`;
}
