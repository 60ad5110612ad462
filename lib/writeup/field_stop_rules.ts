import { escapeHtml } from "./_escape.ts";
import { sharedText } from "./_shared_text.ts";

/** One rule of the cautions: its first words, and the rest, as plain text. */
export interface Caution {
  readonly lead: string;
  readonly text: string;
}

/**
 * Gives one section of the cautions that all pages share (`shared/cautions.md`) as plain text, rule by rule.
 *
 * `heading` is the section's own: "Stop", "Dig with care", "Read with care". Throws RangeError where there is no such section or it
 * holds no rule: a page without its stop rules must not be made.
 *
 * @example
 * ```ts
 * import { cautionsUnder } from "./field_stop_rules.ts";
 * if (!cautionsUnder("Stop")[0]!.text.includes("shell")) throw new Error("the first stop rule is the one that kills");
 * ```
 */
export function cautionsUnder(heading: string): readonly Caution[] {
  const section = sharedText("cautions.md").split(/^## /m).find((part) => part.startsWith(`${heading}\n`));
  const rules = [...(section ?? "").matchAll(/^- (.+)$/gm)].map(([, line]): Caution => {
    const bold = /^\*\*(.+?)\*\*[:.]?\s*(.*)$/.exec(line!);
    const plain = (text: string): string => text.replaceAll("**", "").trim();
    return bold === null
      ? { lead: "", text: plain(line!) }
      : { lead: bold[1]!.replace(/[.:,]$/, ""), text: plain(bold[2]!.replace(/^[:,]\s*/, "")) };
  });
  if (rules.length === 0) {
    throw new RangeError(
      `Cannot make a page for the field: the cautions must have rules under "${heading}", got none`,
    );
  }
  return rules;
}

/** The stop rules as a panel of HTML: what stands above everything else on every page for the field. */
export function stopPanel(options: { readonly level?: 2 | 3; readonly brief?: boolean } = {}): string {
  const { level = 2, brief = false } = options;
  const items = cautionsUnder("Stop").map(({ lead, text }, i) =>
    `<li><strong>${escapeHtml(lead)}.</strong>${brief && i > 0 ? "" : ` ${escapeHtml(text)}`}</li>`
  );
  return `<section class="stop" aria-label="Stop rules"><h${level}>Stop, leave it, mark it, call</h${level}>
<ul>${items.join("\n")}</ul></section>`;
}
