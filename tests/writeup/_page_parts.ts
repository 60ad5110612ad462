import { type Notebook, type PageParts, provenance } from "../../lib/writeup/mod.ts";
import { notebookOf } from "./_notebooks.ts";

/** Gives a notebook's code cells outputs, in order, as if it had run: null for none. */
export function withOutputs(
  notebook: Notebook,
  outputs: readonly (Record<string, unknown> | null)[],
): Notebook {
  let at = 0;
  const cells = notebook.cells.map((cell) => {
    if (cell.cell_type !== "code") return cell;
    const output = outputs[at++];
    return { ...cell, execution_count: at, outputs: output ? [output] : [] };
  });
  return { ...notebook, cells } as Notebook;
}

/** An output that shows HTML. */
export const shown = (html: string): Record<string, unknown> => ({
  output_type: "display_data",
  data: { "text/html": html, "text/plain": "plain" },
  metadata: {},
});

const svg =
  `<svg xmlns="http://www.w3.org/2000/svg" role="img" aria-label="Three dots falling from one to nought" width="640" height="240" viewBox="0 0 640 240" fill="currentColor" font-size="15"><defs><clipPath id="dots-1"><rect x="40" y="0" width="560" height="200"></rect></clipPath></defs><g clip-path="url(#dots-1)"><circle cx="80" cy="40" r="6" fill="var(--series-1, #0072B2)"></circle><circle cx="300" cy="100" r="6" fill="var(--series-2, #D55E00)"></circle><circle cx="560" cy="180" r="6" fill="var(--series-3, #009E73)"></circle></g><text x="500" y="225">gap (cm) →</text></svg>`;

/** A small page with one of everything. */
export function pageParts(more: Partial<PageParts> = {}): PageParts {
  const wide =
    `<div class="table-scroll" tabindex="0" role="region" aria-label="Wide table"><table><caption>Wide</caption><thead><tr>${
      Array.from({ length: 14 }, (_, i) => `<th scope="col">column ${i}</th>`).join("")
    }</tr></thead><tbody><tr>${
      Array.from({ length: 14 }, (_, i) => `<td>${i * 1000}</td>`).join("")
    }</tr></tbody></table></div>`;
  const figure =
    `<figure id="fig-dots"><div class="figure-scroll" tabindex="0" role="region" aria-label="Figure dots, drawing">${svg}</div><figcaption>Drag against gap, 3 trials.</figcaption><details class="figure-numbers"><summary>Numbers of this figure</summary><p>1, 2, 3</p></details></figure>`;
  const season = withOutputs(
    notebookOf([
      {
        md:
          "# The season\n\nWhat did it hold? A share $p$ and a note.[^1]\n\n$$a \\le b$$\n\n[^1]: A note.\n\n## Counts",
      },
      { code: 'const data = "../data"; // where', tags: ["parameters"] },
      "a",
      {
        md:
          "| a | b |\n|---|---|\n| 1 | 2 |\n\n```ts\nconst long = 'a line of code that is rather long, so that it must scroll inside its own frame on a telephone';\n```",
      },
      "b",
      "c",
    ]),
    [
      null,
      shown(`<p class="said">We hold <data class="stated" value="3" title="season.signals">3</data>.</p>`),
      shown(figure),
      shown(wide),
    ],
  );
  const broken = withOutputs(notebookOf([{ md: "# The garden" }, "const a = 1;\nthrow new Error('x < y')"]), [
    {
      output_type: "error",
      ename: "Error",
      evalue: "x < y",
      traceback: ["Error: x < y", "    at (this cell, line 2)"],
    },
  ]);
  return {
    title: "A small page",
    standfirst: "With one of everything.",
    author: "Nobody",
    notices: ["These logs are invented."],
    headlines: [
      { label: "Holes for each good find", value: "7.4", detail: "95 % interval 5.9 to 9.6" },
      { label: "Half gap", value: "4.1 cm", detail: "n = 45 trials" },
      { label: "Log loss won", value: "cannot tell yet", detail: "Too few masked goods" },
    ],
    notebooks: [
      { name: "1-season", executed: season, failure: null },
      {
        name: "2-garden",
        executed: broken,
        failure: { cell: 1, cellId: "cell-2", line: 2, name: "Error", message: "x < y" },
      },
    ],
    leftOut: [{ title: "The model", reason: "no dig log" }],
    provenance: provenance({
      inputs: [{ role: "dig-log", bytes: new Uint8Array(3), counts: { rows: 3 } }],
      notebooks: [],
      seed: 1,
      command: "deno task season DIG-LOG",
      packageJson: "{}",
      packageLock: "{}",
    }),
    downloads: [{ href: "results.json", label: "results.json", note: "Every number" }, {
      href: "data/dig-log.csv",
      label: "The log",
    }],
    ...more,
  };
}
