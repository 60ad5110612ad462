import { renderCells } from "./_cells_html.ts";
import { escapeHtml } from "./_escape.ts";
import { anchorOf, renderMarkdown } from "./_markdown.ts";
import { sanitise } from "./_sanitise.ts";
import type { Headline } from "./headline.ts";
import type { Notebook } from "./notebook.ts";
import type { Provenance } from "./provenance.ts";
import type { NotebookFailure } from "./run_notebook.ts";
import { refer, referencesHtml } from "./_references.ts";
import { sharedText } from "./_shared_text.ts";
import { visible } from "./_visible.ts";
import { citationTexts } from "./citation_file.ts";

/** What a page forbids itself: any script, any request. */
export const PAGE_POLICY =
  "default-src 'none'; style-src 'unsafe-inline'; img-src data:; media-src data:; base-uri 'none'; form-action 'none'";

/** What a write-up's page is made of. All text is plain text and is escaped. */
export interface PageParts {
  readonly title: string;
  /** A few words above the title; default "Write-up". */
  readonly kicker?: string;
  /** One or two sentences under the title. */
  readonly standfirst?: string;
  /** Who signs, under a name of their choice. */
  readonly author?: string;
  /** Something a reader must know before all else: that the logs are invented, that a notebook failed. */
  readonly notices?: readonly string[];
  readonly headlines: readonly Headline[];
  readonly notebooks: readonly {
    readonly name: string;
    readonly executed: Notebook;
    readonly failure: NotebookFailure | null;
  }[];
  /** Notebooks that could not be part of it, and why. */
  readonly leftOut?: readonly { readonly title: string; readonly reason: string }[];
  readonly provenance: Provenance;
  /** Files beside the page, by relative path. */
  readonly downloads: readonly {
    readonly href: string;
    readonly label: string;
    readonly note?: string;
    readonly bytes?: number;
  }[];
  /** Methods of the intervals shown, as results name them: their sources join the references. Default: none. */
  readonly methods?: readonly string[];
}

/**
 * Renders a write-up's one page: self-contained HTML without script, that asks nothing of any network.
 *
 * Stop rules and cautions (`shared/cautions.md`) stand first, then the headline numbers, the contents, a part a notebook
 * with its code folded, the words used (`shared/glossary.md`), the files to take away, and how it was made. What notebooks
 * show is sanitised against a list of what may stand; plain text is escaped; marks that turn or hide text are shown as
 * U+FFFD. The same parts give the same bytes.
 *
 * Throws RangeError for a download whose address is not a relative path inside the folder.
 *
 * @example
 * ```ts
 * import { provenance, renderPage } from "./mod.ts";
 * const made = provenance({ inputs: [], notebooks: [], seed: 1, command: "deno task season", packageJson: "{}", packageLock: "{}" });
 * const html = renderPage({ title: "Nails & coins", headlines: [], notebooks: [], provenance: made, downloads: [] });
 * if (!html.includes("<title>Nails &#38; coins</title>")) throw new Error("not escaped");
 * ```
 */
export function renderPage(parts: PageParts): string {
  const { title, kicker = "Write-up", standfirst, author, notices = [], headlines, notebooks, leftOut = [] } =
    parts;
  const figures = { count: 0 };
  const rendered = notebooks.map(({ name, executed, failure }, i) => {
    const number = String(i + 1);
    return {
      name,
      number,
      id: anchorOf(name),
      failure,
      ...renderCells(name, executed, { failure, figures }),
    };
  });
  const { parts: texts, cited } = refer(rendered.map(({ html }) => html), parts.methods ?? []);
  const failed = rendered.filter(({ failure }) => failure !== null);
  const body = [
    `<header class="title">
<p class="kicker">${escapeHtml(kicker)}</p>
<h1>${escapeHtml(title)}</h1>
${standfirst === undefined ? "" : `<p class="standfirst">${escapeHtml(standfirst)}</p>`}
${author === undefined ? "" : `<p class="byline">${escapeHtml(author)}</p>`}
${failed.map(failedNotice).join("\n")}
${notices.map((text) => `<div class="notice"><p>${escapeHtml(text)}</p></div>`).join("\n")}
${cautionsHtml()}
${headlines.length === 0 ? "" : headlinesHtml(headlines)}
${inShortHtml(rendered)}
</header>`,
    contentsHtml(rendered, [
      ...(leftOut.length > 0 ? [["left-out", "What is left out"]] : []),
      ["words", "The words"],
      ...(cited.length > 0 ? [["references", "References"]] : []),
      ["files", "Files to take away"],
      ["cite", "Cite this"],
      ["made", "How this was made"],
    ]),
    `<main id="text">`,
    ...rendered.map(({ id, number, title }, i) =>
      `<section class="part" aria-labelledby="${id}">
<h2 id="${id}"><span class="no">Part ${number}</span> ${escapeHtml(title)}</h2>
${texts[i]}
</section>`
    ),
    leftOut.length === 0 ? "" : leftOutHtml(leftOut),
    glossaryHtml(),
    cited.length === 0 ? "" : referencesHtml(cited),
    downloadsHtml(parts.downloads),
    citeHtml(parts.provenance),
    provenanceHtml(parts.provenance, sizesOf(texts)),
    `</main>`,
    `<footer><p>This page holds no script and asks nothing of any network: what you see is all there is. Every number in its
text stands in <a href="results.json">results.json</a> with its interval and its counts.</p></footer>`,
  ].filter((piece) => piece !== "").join("\n");
  return visible(`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${PAGE_POLICY}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<meta name="referrer" content="no-referrer">
<meta name="generator" content="overiron">
<link rel="icon" href="data:,">
<title>${escapeHtml(title)}</title>
<style>
${sharedText("theme.css")}</style>
</head>
<body>
<a class="skip" href="#text">To the text</a>
<div class="sheet">
${body}
</div>
</body>
</html>
`);
}

function failedNotice(
  { title, id, failure }: { title: string; id: string; failure: NotebookFailure | null },
): string {
  const at = failure === null ? id : `failed-${failure.cellId}`;
  return `<div class="banner"><p><span class="label">Not finished.</span> The part “${
    escapeHtml(title)
  }” stopped at ` +
    `<a href="#${escapeHtml(at)}">cell ${failure?.cell}</a>. Draw no verdict from this page.</p></div>`;
}

function cautionsHtml(): string {
  const [stop = "", care = ""] = sharedText("cautions.md").split(/^(?=## Dig)/m);
  const part = (source: string, prefix: string): string =>
    sanitise(renderMarkdown(source, { prefix, topLevel: 1 }).html);
  return `<section class="first" aria-label="Before you read on">
<div class="stop">${part(stop, "first")}</div>
<div>${part(care, "first")}</div>
</section>`;
}

function headlinesHtml(headlines: readonly Headline[]): string {
  const items = headlines.map(({ label, value, detail }) => {
    const word = /^\D*$/.test(value) ? " word" : "";
    return `<div><dt>${escapeHtml(label)}</dt><dd class="value${word}">${escapeHtml(value)}</dd>` +
      `<dd class="detail">${escapeHtml(detail)}</dd></div>`;
  });
  return `<section aria-label="The numbers that matter most"><dl class="numbers">\n${
    items.join("\n")
  }\n</dl></section>`;
}

/** The first sentence that each part says of its own results: its answer, as the part's link. */
function inShortHtml(
  parts: readonly { readonly id: string; readonly number: string; readonly html: string }[],
): string {
  const items = parts.flatMap(({ id, number, html }) => {
    const answer = firstAnswer(html);
    return answer === null ? [] : [`<li>${answer} <a href="#${id}">Part\u00a0${number}</a></li>`];
  });
  return items.length === 0
    ? ""
    : `<section class="short" aria-labelledby="short"><h2 id="short">In short</h2>
<ul>${items.join("\n")}</ul></section>`;
}

/** A part says its answer first: the first sentence of 60 letters or more of its first paragraph that states results. */
function firstAnswer(html: string): string | null {
  const said = html.match(/<p class="said">[\s\S]*?<\/p>/g)?.find((each) => each.includes('class="stated"'));
  if (said === undefined) return null;
  const words = said.replace(/<[^>]*>/g, "").replace(/[ \n]+/g, " ").trim();
  return /^.{60,}?[.!?](?= [A-Z]|$)/.exec(words)?.[0] ?? words;
}

interface ContentsPart {
  readonly id: string;
  readonly number: string;
  readonly title: string;
  readonly headings: readonly { readonly level: number; readonly text: string; readonly id: string }[];
}

function contentsHtml(parts: readonly ContentsPart[], others: readonly string[][]): string {
  const link = (id: string, text: string, number = ""): string => {
    return `<a href="#${id}"><span class="no">${number}</span> <span>${escapeHtml(text)}</span></a>`;
  };
  const items = parts.map(({ id, number, title, headings }) => {
    const below = headings.filter(({ level }) => level === 3).map((each) =>
      `<li><a href="#${each.id}">${escapeHtml(each.text)}</a></li>`
    );
    return `<li>${link(id, title, number)}${below.length > 0 ? `<ol>${below.join("")}</ol>` : ""}</li>`;
  });
  const rest = others.map(([id, text]) => `<li>${link(id!, text!)}</li>`);
  return `<nav class="contents" aria-labelledby="contents"><h2 id="contents">Contents</h2>
<ol>${[...items, ...rest].join("\n")}</ol></nav>`;
}

function leftOutHtml(leftOut: readonly { readonly title: string; readonly reason: string }[]): string {
  const items = leftOut.map(({ title, reason }) =>
    `<li><strong>${escapeHtml(title)}</strong>: ${escapeHtml(reason)}</li>`
  );
  return `<section class="part" aria-labelledby="left-out"><h2 id="left-out">What is left out</h2><ul>${
    items.join("\n")
  }</ul></section>`;
}

function glossaryHtml(): string {
  const entries = sharedText("glossary.md").trim().split(/\n\s*\n/).map((entry) => {
    const [word = "", meaning = ""] = entry.split(/\n: /);
    return `<dt>${escapeHtml(word)}</dt><dd>${escapeHtml(meaning.replace(/\s+/g, " "))}</dd>`;
  });
  return `<section class="part" aria-labelledby="words"><h2 id="words">The words</h2><dl class="words">\n${
    entries.join("\n")
  }\n</dl></section>`;
}

function downloadsHtml(downloads: PageParts["downloads"]): string {
  const items = downloads.map(({ href, label, note, bytes }) => {
    if (!/^[A-Za-z0-9][\w.-]*(\/[A-Za-z0-9][\w.-]*)*\/?$/.test(href)) {
      throw new RangeError(
        `Cannot link file: the address must be a path inside the write-up, got ${JSON.stringify(href)}`,
      );
    }
    const told = [note, bytes === undefined ? undefined : kilobytes(bytes)].filter((each) =>
      each !== undefined
    );
    const small = told.length === 0 ? "" : `<span class="small">${escapeHtml(told.join("; "))}</span>`;
    return `<li><a href="${href}">${escapeHtml(label)}</a>${small}</li>`;
  });
  return `<section class="part" aria-labelledby="files"><h2 id="files">Files to take away</h2>
<p>They lie beside this page, in its folder.</p>
<ul class="downloads">${items.join("\n")}</ul></section>`;
}

const kilobytes = (bytes: number): string => `${Math.ceil(bytes / 1000)}\u00a0kB`;

/** What the page's weight is made of. */
function sizesOf(texts: readonly string[]): string {
  const sum = (pattern: RegExp): number =>
    texts.reduce(
      (total, html) => total + (html.match(pattern) ?? []).reduce((all, each) => all + each.length, 0),
      0,
    );
  const whole = texts.reduce((total, html) => total + new TextEncoder().encode(html).length, 0);
  const kinds: readonly (readonly [string, number])[] = [
    ["drawings", sum(/<svg[\s\S]*?<\/svg>/g)],
    ["tables", sum(/<table[\s\S]*?<\/table>/g)],
    ["code", sum(/<details class="code"[\s\S]*?<\/details>/g)],
    ["sounds and pictures", sum(/(?<=src=")data:[^"]*/g)],
  ];
  const told = kinds.filter(([, bytes]) => bytes > 0).map(([name, bytes]) =>
    `${kilobytes(bytes)} of ${name}`
  );
  return `The parts of this page weigh ${kilobytes(whole)}${
    told.length > 0 ? `, with ${told.join(", ")}` : ""
  }`;
}

function citeHtml(made: Provenance): string {
  const { text, bibtex } = citationTexts(made);
  return `<section class="part" aria-labelledby="cite"><h2 id="cite">Cite this</h2>
<p>${escapeHtml(text)}</p>
<p>The same for BibTeX; <a href="CITATION.cff">CITATION.cff</a> has it for other programs.</p>
<pre tabindex="0" role="group" aria-label="Citation for BibTeX">${escapeHtml(bibtex)}</pre></section>`;
}

function provenanceHtml(made: Provenance, sizes: string): string {
  const counts = (n: Readonly<Record<string, number>>): string => {
    return Object.entries(n).filter(([name, count]) => name === "rows" || count > 0)
      .map(([name, count]) => name === "rows" ? `${count} rows` : `${count} ${name}`).join(", ");
  };
  const inputs = made.inputs.map(({ role, sha256, counts: n }) => {
    const rows = Object.keys(n).length > 0 ? `: ${counts(n)}` : "";
    return `${escapeHtml(role)}${escapeHtml(rows)}<br><span class="hash">SHA-256 ${sha256}</span>`;
  });
  const versions = Object.entries(made.versions).map(([name, version]) => `${name}\u00a0${version}`).join(
    ", ",
  );
  const row = (name: string, html: string): string => `<dt>${name}</dt><dd>${html}</dd>`;
  return `<section class="part" aria-labelledby="made"><h2 id="made">How this was made</h2>
<p>The same logs, seed and versions give the same page, byte for byte.</p>
<dl class="made">
${row("Command", `<code>${escapeHtml(made.command)}</code>`)}
${row("Seed", String(made.seed))}
${row("Logs", inputs.join("<br>"))}
${row("Versions", escapeHtml(versions))}
${row("Size", escapeHtml(sizes))}
</dl>
<p>Whoever has overiron and this folder can run it again and compare: <code>deno task rerun</code> and the name of the folder.</p></section>`;
}
