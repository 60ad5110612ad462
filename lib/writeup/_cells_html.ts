import { alignNumbers } from "./_align_numbers.ts";
import { escapeHtml } from "./_escape.ts";
import { highlight } from "./_highlight.ts";
import { anchorOf, type Heading, renderMarkdown } from "./_markdown.ts";
import { sanitise } from "./_sanitise.ts";
import { type Cell, type CellOutput, type CodeCell, type Notebook, tagsOf } from "./notebook.ts";
import type { NotebookFailure } from "./run_notebook.ts";

/** A notebook as a part of the page. */
export interface RenderedNotebook {
  readonly title: string;
  readonly html: string;
  /** Headings below the title, for the contents list. */
  readonly headings: readonly Heading[];
}

/** Renders a notebook's cells. The first `#` heading becomes the part's title; code is folded; figures are numbered on. */
export function renderCells(
  name: string,
  notebook: Notebook,
  options: { readonly failure: NotebookFailure | null; readonly figures: { count: number } },
): RenderedNotebook {
  const { html, ...rest } = drawCells(name, notebook, options.failure);
  return { ...rest, html: numberFigures(html, options.figures) };
}

const drawn = new WeakMap<
  Notebook,
  { name: string; failure: NotebookFailure | null; rendered: RenderedNotebook }
>();

/** Renders a notebook's cells, figures without their numbers, and keeps that for the page: to be done while others run. */
export function drawCells(
  name: string,
  notebook: Notebook,
  failure: NotebookFailure | null,
): RenderedNotebook {
  const known = drawn.get(notebook);
  if (known !== undefined && known.name === name && known.failure === failure) return known.rendered;
  const prefix = anchorOf(name);
  const headings: Heading[] = [];
  const pieces: string[] = [];
  let title: string | null = null;
  let waiting: { cell: CodeCell; number: number }[] = [];
  let number = 0;
  const putCode = (open = false): void => {
    if (waiting.length > 0) pieces.push(codeHtml(waiting, open));
    waiting = [];
  };
  notebook.cells.forEach((cell, i) => {
    if (cell.cell_type === "code" && cell.metadata["overiron-injected"] !== true) number++;
    if (tagsOf(cell).includes("remove-cell")) return;
    if (cell.cell_type === "code") {
      if (!tagsOf(cell).includes("hide-input") && cell.source.trim() !== "") waiting.push({ cell, number });
      const failed = failure?.cellId === cell.id;
      const outputs = cell.outputs.filter((output) => !(failed && output.output_type === "error"));
      if (outputs.length === 0 && !failed) return;
      putCode(failed);
      if (!tagsOf(cell).includes("remove-output")) {
        pieces.push(...outputs.map((output) => outputHtml(output, number, cell)));
      }
      if (failed) pieces.push(failureHtml(failure, cell));
      return;
    }
    putCode();
    if (cell.cell_type === "raw") return;
    let source = cell.source;
    if (title === null) {
      const found = /^# +(.+?) *$/m.exec(source);
      if (found) {
        title = found[1]!;
        source = source.slice(0, found.index) + source.slice(found.index + found[0].length);
      }
    }
    // A `##` under the part's own h2 is an h3, so `#` would be level 2 again.
    const rendered = renderMarkdown(source, { prefix: `${prefix}-${i + 1}`, topLevel: 2 });
    headings.push(...rendered.headings);
    pieces.push(rendered.html);
  });
  putCode();
  // A frame that scrolls is a group: as a region each would be a landmark, and a page has too many of them.
  // A heading without words heads nothing: to a screen reader it is an empty cell.
  const grouped = sanitise(pieces.join("\n")).replaceAll('role="region"', 'role="group"')
    .replace(/<th(?: [^>]*)?><\/th>/g, "<td></td>");
  const rendered = { title: title ?? name, html: alignNumbers(grouped), headings };
  drawn.set(notebook, { name, failure, rendered });
  return rendered;
}

function codeHtml(cells: readonly { cell: CodeCell; number: number }[], open: boolean): string {
  const first = cells[0]!.number, last = cells.at(-1)!.number;
  const label = first === last ? `Code, cell ${first}` : `Code, cells ${first} to ${last}`;
  const blocks = cells.map(({ cell, number }) =>
    `<pre tabindex="0" role="group" aria-label="Code of cell ${number}${
      tagsOf(cell).includes("injected-parameters") ? ", as run" : ""
    }"><code class="hljs">${highlight(cell.source)}</code></pre>`
  );
  return `<details class="code"${open ? " open" : ""}><summary>${label}</summary>${
    blocks.join("")
  }</details>`;
}

const preText = (text: string, label: string): string => {
  return `<pre class="text" tabindex="0" role="group" aria-label="${label}">${escapeHtml(text)}</pre>`;
};

function outputHtml(output: CellOutput, number: number, cell: Cell): string {
  if (output.output_type === "stream") return preText(output.text, `Text of cell ${number}, ${output.name}`);
  if (output.output_type === "error") {
    return preText(output.traceback.join("\n"), `Expected error of cell ${number}`);
  }
  const { data, metadata } = output;
  const of = (type: string): string | null => typeof data[type] === "string" ? data[type] as string : null;
  const html = of("text/html") ?? of("image/svg+xml");
  if (html !== null) return html;
  const markdown = of("text/markdown");
  if (markdown !== null) return renderMarkdown(markdown, { prefix: `out-${cell.id}`, topLevel: 3 }).html;
  for (const type of ["image/png", "image/jpeg"]) {
    const image = of(type);
    if (image === null || !/^[A-Za-z0-9+/=\s]*$/.test(image)) continue;
    const alt = String(metadata.alt ?? cell.metadata.alt ?? `Picture of cell ${number}`);
    return `<figure><img src="data:${type};base64,${image.replace(/\s/g, "")}" alt="${
      escapeHtml(alt)
    }"></figure>`;
  }
  const plain = of("text/plain");
  return plain === null ? "" : preText(plain, `Result of cell ${number}`);
}

function failureHtml(failure: NotebookFailure, cell: CodeCell): string {
  const error = cell.outputs.find((output) => output.output_type === "error");
  const place = failure.line === null ? `Cell ${failure.cell}` : `Cell ${failure.cell}, line ${failure.line}`;
  const trace = error && "traceback" in error ? error.traceback.join("\n") : "";
  return `<section class="banner" aria-label="The notebook stopped here" id="failed-${escapeHtml(cell.id)}">
<p><span class="label">The notebook stopped here.</span> ${place}: ${escapeHtml(failure.name)}: ${
    escapeHtml(failure.message)
  }</p>
<pre tabindex="0" role="group" aria-label="What the kernel said">${escapeHtml(trace)}</pre>
<p>Nothing after this cell was run, and no verdict can be drawn from this page.</p></section>`;
}

/** Puts "Figure 3." before each caption, counting through the whole page. */
function numberFigures(html: string, figures: { count: number }): string {
  return html.replace(/<figcaption([^>]*)>/g, (_, attributes) => {
    return `<figcaption${attributes}><span class="no">Figure ${++figures.count}.</span> `;
  });
}
