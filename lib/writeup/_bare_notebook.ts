import { withBarePictures } from "./_bare_picture.ts";
import { type Cell, DENO_METADATA, type Notebook, readNotebook } from "./notebook.ts";

/** The tags of cells that the kit or its page knows. */
const TAGS: ReadonlySet<unknown> = new Set([
  "parameters",
  "injected-parameters",
  "raises-exception",
  "skip-execution",
  "hide-input",
  "remove-cell",
  "remove-output",
]);

/**
 * A person's own notebook as it may be published: code and texts as they are, pictures in them bare, and nothing else that a
 * program may have put into the file (outputs of earlier runs, attached pictures, times, paths, names in its metadata).
 */
export function bareNotebook(notebook: Notebook): Notebook {
  const { needs } = (notebook.metadata.overiron ?? {}) as { needs?: unknown };
  const logs = Array.isArray(needs)
    ? needs.filter((need) => need === "dig-log" || need === "garden-log")
    : null;
  return readNotebook(JSON.stringify({
    nbformat: 4,
    nbformat_minor: 5,
    metadata: {
      ...DENO_METADATA,
      ...(logs === null ? {} : { overiron: { needs: logs } }),
    },
    cells: notebook.cells.map(bareCell),
  }));
}

function bareCell(cell: Cell): unknown {
  const { id, cell_type, source } = cell;
  const { tags, alt } = cell.metadata;
  const known = tags?.filter((tag) => TAGS.has(tag)) ?? [];
  return {
    id,
    cell_type,
    source: withBarePictures(source),
    metadata: {
      ...(known.length === 0 ? {} : { tags: known }),
      ...(typeof alt === "string" ? { alt } : {}),
    },
    ...(cell_type === "code" ? { execution_count: null, outputs: [] } : {}),
  };
}
