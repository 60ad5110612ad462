import { expect, test } from "vitest";
import { bareNotebook } from "../../lib/writeup/_bare_notebook.ts";
import { notebookTemplate, readNotebook } from "../../lib/writeup/mod.ts";

test("bareNotebook() keeps what the kit knows: text, code, tags, words for a picture, which logs are needed", () => {
  const cells = [
    {
      cell_type: "markdown",
      id: "a",
      metadata: { tags: ["remove-cell", "mine"] },
      source: "# A",
      attachments: {},
    },
    {
      cell_type: "code",
      id: "b",
      metadata: { tags: ["parameters"], alt: "a drawing", scrolled: true },
      source: "1",
      execution_count: 4,
      outputs: [{ output_type: "stream", name: "stdout", text: "old" }],
    },
    { cell_type: "raw", id: "c", metadata: { format: "x" }, source: "raw" },
  ];
  const metadata = { overiron: { needs: ["garden-log", "x"], mine: 1 }, widgets: {} };
  const bare = bareNotebook(
    readNotebook(JSON.stringify({ nbformat: 4, nbformat_minor: 6, metadata, cells, extra: 1 })),
  );
  expect(bare.cells).toEqual([
    { cell_type: "markdown", id: "a", metadata: { tags: ["remove-cell"] }, source: "# A" },
    {
      cell_type: "code",
      id: "b",
      metadata: { tags: ["parameters"], alt: "a drawing" },
      source: "1",
      execution_count: null,
      outputs: [],
    },
    { cell_type: "raw", id: "c", metadata: {}, source: "raw" },
  ]);
  expect(Object.keys(bare).sort()).toEqual(["cells", "metadata", "nbformat", "nbformat_minor"]);
  expect(Object.keys(bare.metadata).sort()).toEqual(["kernelspec", "language_info", "overiron"]);
  expect(bare.metadata.overiron).toEqual({ needs: ["garden-log"] });
});

test("bareNotebook() leaves a notebook that new-notebook begins as it is", () => {
  const begun = notebookTemplate("Mine");
  expect(bareNotebook(begun)).toEqual(begun);
});
