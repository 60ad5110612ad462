import { DENO_METADATA, type Notebook, readNotebook } from "./notebook.ts";

/** A notebook to begin with: it loads the published data of the person's own log, counts, and leaves room for a question. */
export function notebookTemplate(title: string): Notebook {
  const code = (id: string, source: string, metadata = {}): unknown => {
    return { cell_type: "code", id, metadata, source, execution_count: null, outputs: [] };
  };
  const text = (id: string, source: string): unknown => ({ cell_type: "markdown", id, metadata: {}, source });
  return readNotebook(JSON.stringify({
    nbformat: 4,
    nbformat_minor: 5,
    metadata: {
      ...DENO_METADATA,
      overiron: { needs: ["dig-log"] },
    },
    cells: [
      text(
        "question",
        `# ${title}\n\nOne question, in a sentence. Then what is counted, over which signals, and what would change your mind.`,
      ),
      code(
        "parameters",
        'const data = "../write-ups/season/data";\nconst seed = 1;',
        { tags: ["parameters"] },
      ),
      code(
        "load",
        'import { openData, outcomeRow } from "overiron";\n\n' +
          "const { season } = await openData(data);\n" +
          'if (season === null) throw new RangeError("Cannot read the season: the data folder must hold signals.csv, got none");\n' +
          "`${season.signals.length} signals from ${new Set(season.signals.map((signal) => signal.site)).size} sites, seed ${seed}`",
      ),
      text(
        "counts",
        "## What came of them\n\nA count to begin with. Numbers that are to stand in `results.json` are shown with `say` and `stated`; " +
          "a drawing with `figure`, and then its id in brackets, after `fig:`, in a text becomes a link.",
      ),
      code(
        "count",
        "const counts = new Map<string, number>();\n" +
          "for (const { outcome } of season.signals) {\n" +
          "  const row = outcomeRow(outcome);\n" +
          "  counts.set(row, (counts.get(row) ?? 0) + 1);\n" +
          "}\nObject.fromEntries(counts)",
      ),
      text(
        "limits",
        "## Limits\n\nOnly dug signals have an outcome, and nobody digs at random. What else could be behind it?",
      ),
    ],
  }));
}
