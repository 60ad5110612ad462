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

/**
 * Gives a caution as the inside of a list item: its first words in bold, a colon where the sentence goes on, else a full stop.
 *
 * @example
 * ```ts
 * import { cautionHtml } from "./field_stop_rules.ts";
 * if (cautionHtml({ lead: "Bones", text: "ring." }) !== "<strong>Bones:</strong> ring.") throw new Error("wrong");
 * ```
 */
export function cautionHtml({ lead, text }: Caution): string {
  const mark = /^\p{Lu}|^$/u.test(text) ? "." : ":";
  return `${lead === "" ? "" : `<strong>${escapeHtml(lead)}${mark}</strong> `}${escapeHtml(text)}`.trim();
}

/** Options of {@link stopPanel}. */
export interface StopPanelOptions {
  /** Level of its heading. Default 2. */
  readonly level?: 2 | 3;
  /** Whether all rules but the first are given by their first words only. Default false. */
  readonly brief?: boolean;
  /** Whether the rules of digging with care stand below, by their first words: storm, livestock, sharp and toxic things. Default false. */
  readonly care?: boolean;
}

/**
 * Gives the stop rules as a panel of HTML: what stands above everything else on every page for the field.
 *
 * @example
 * ```ts
 * import { stopPanel } from "./field_stop_rules.ts";
 * if (!stopPanel({ care: true }).includes("livestock")) throw new Error("a storm does not wait");
 * ```
 */
export function stopPanel(options: StopPanelOptions = {}): string {
  const { level = 2, brief = false, care = false } = options;
  const items = cautionsUnder("Stop").map(({ lead, text }, i) =>
    `<li>${cautionHtml({ lead, text: brief && i > 0 ? "" : text })}</li>`
  );
  return `<section class="stop" aria-label="Stop rules"><h${level}>Stop, leave it, mark it, call</h${level}>
<ul>${items.join("\n")}</ul>${
    care
      ? "<p><strong>Thunder, livestock, traffic:</strong> go home. <strong>Sharp and toxic things:</strong> gloves, open no tin or powder.</p>"
      : ""
  }</section>`;
}
