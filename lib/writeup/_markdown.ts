import MarkdownIt from "markdown-it";
import footnote from "markdown-it-footnote";
import temml from "temml";
import { escapeHtml } from "./_escape.ts";

/** A heading met in a text: its level in the page, its words and its anchor. */
export interface Heading {
  readonly level: number;
  readonly text: string;
  readonly id: string;
}

const markdown = new MarkdownIt({ html: false, linkify: false, typographer: false }).use(footnote).use(maths);

/** `$...$` in a line and `$$...$$` become MathML. A dollar before a space or a digit after it is money, not maths. */
function maths(md: any): void {
  md.inline.ruler.after("escape", "maths", (state: any, silent: boolean): boolean => {
    const { src, pos } = state;
    if (src[pos] !== "$") return false;
    const display = src[pos + 1] === "$";
    const open = pos + (display ? 2 : 1);
    const close = src.indexOf(display ? "$$" : "$", open);
    if (close <= open) return false;
    const content = src.slice(open, close);
    if (!display && (/^\s|\s$/.test(content) || /\d/.test(src[close + 1] ?? ""))) return false;
    if (!silent) {
      const token = state.push("maths", "math", 0);
      token.content = content;
      token.meta = { display };
    }
    state.pos = close + (display ? 2 : 1);
    return true;
  });
  md.renderer.rules.maths = (tokens: any, i: number): string => {
    const { content, meta } = tokens[i];
    try {
      return temml.renderToString(content.trim(), {
        displayMode: meta.display,
        trust: false,
        throwOnError: true,
      });
    } catch {
      return `<code>${escapeHtml(content)}</code>`;
    }
  };
}

/** Turns words into an anchor: a to z, digits and hyphens. */
export function anchorOf(text: string): string {
  return text.toLowerCase().replace(/[^a-z0-9]+/g, "-").replace(/^-+|-+$/g, "") || "part";
}

export interface RenderMarkdownOptions {
  /** Put before every anchor, so that two texts of a page do not share one. */
  readonly prefix: string;
  /** Level in the page of a `#` heading; default 2. */
  readonly topLevel?: number;
}

/** Renders Markdown: raw HTML in it is shown as text, headings are moved to their level in the page and get anchors. */
export function renderMarkdown(
  source: string,
  options: RenderMarkdownOptions,
): { html: string; headings: Heading[] } {
  const { prefix, topLevel = 2 } = options;
  const env = { docId: prefix };
  const tokens = markdown.parse(source, env);
  const headings: Heading[] = [];
  tokens.forEach((token: any, i: number) => {
    if (token.type !== "heading_open" && token.type !== "heading_close") return;
    const level = Math.min(6, Number(token.tag.slice(1)) + topLevel - 1);
    token.tag = `h${level}`;
    if (token.type === "heading_close") return;
    const inline: any = tokens[i + 1];
    const text = (inline.children as any[]).map((child) => child.content).join("");
    const id = `${prefix}-${anchorOf(text)}`;
    token.attrSet("id", id);
    headings.push({ level, text, id });
  });
  // Tables get a frame of their own that scrolls, and can be reached by keyboard.
  const html = markdown.renderer.render(tokens, markdown.options, env)
    .replaceAll("<table>", '<div class="table-scroll" tabindex="0" role="group" aria-label="Table"><table>')
    .replaceAll("</table>", "</table></div>")
    .replaceAll("<pre>", '<pre tabindex="0">');
  return { html, headings };
}
