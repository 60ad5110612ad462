import { z } from "zod";

const text = z.union([z.string(), z.array(z.string()).transform((lines) => lines.join(""))]);
const id = z.string().regex(/^[a-zA-Z0-9-_]{1,64}$/, "a cell's id must be 1 to 64 of a-z, A-Z, 0-9, - and _");
const cellMetadata = z.looseObject({ tags: z.array(z.string()).optional() });
const anything = z.record(z.string(), z.unknown());
// In a file the texts of a bundle are split into lines, JSON is left as it is.
const mimeBundle = anything.transform((bundle) =>
  Object.fromEntries(
    Object.entries(bundle).map(([type, value]) => {
      const isText = Array.isArray(value) && !/json$/.test(type) &&
        value.every((line) => typeof line === "string");
      return [type, isText ? value.join("") : value] as [string, unknown];
    }),
  )
);

const output = z.discriminatedUnion("output_type", [
  z.looseObject({ output_type: z.literal("stream"), name: z.string(), text }),
  z.looseObject({ output_type: z.literal("display_data"), data: mimeBundle, metadata: anything }),
  z.looseObject({
    output_type: z.literal("execute_result"),
    execution_count: z.number().int().nullable(),
    data: mimeBundle,
    metadata: anything,
  }),
  z.looseObject({
    output_type: z.literal("error"),
    ename: z.string(),
    evalue: z.string(),
    traceback: z.array(z.string()),
  }),
]);

const cell = z.discriminatedUnion("cell_type", [
  z.looseObject({ cell_type: z.literal("markdown"), id, metadata: cellMetadata, source: text }),
  z.looseObject({ cell_type: z.literal("raw"), id, metadata: cellMetadata, source: text }),
  z.looseObject({
    cell_type: z.literal("code"),
    id,
    metadata: cellMetadata,
    source: text,
    execution_count: z.number().int().nullable(),
    outputs: z.array(output),
  }),
]);

const schema = z.looseObject({
  nbformat: z.literal(4),
  nbformat_minor: z.number().int().min(5),
  metadata: z.looseObject({}),
  cells: z.array(cell),
});

/** A notebook of the format nbformat 4.5, its texts joined to one string each. */
export type Notebook = z.infer<typeof schema>;
/** A cell of a notebook. */
export type Cell = Notebook["cells"][number];
/** A cell that holds code. */
export type CodeCell = Extract<Cell, { cell_type: "code" }>;
/** What a cell gave when it ran. */
export type CellOutput = CodeCell["outputs"][number];

/** The tags of a cell. */
export function tagsOf(cell: Cell): readonly string[] {
  return cell.metadata.tags ?? [];
}

/** What a notebook of this kernel says of itself. */
export const DENO_METADATA = {
  kernelspec: { display_name: "Deno", language: "typescript", name: "deno" },
  language_info: { file_extension: ".ts", mimetype: "text/x.typescript", name: "typescript" },
} as const;

/**
 * Reads the text of an `.ipynb` file of the format nbformat 4.5 (Jupyter, nbformat.v4.5.schema.json) or a later minor.
 *
 * Texts that the file splits into lines come back as one string. Throws SyntaxError where the text is not JSON, not such
 * a notebook, or two cells share an id (which the official schema lets pass).
 *
 * @example
 * ```ts
 * import { readNotebook } from "./mod.ts";
 * const notebook = readNotebook('{"nbformat":4,"nbformat_minor":5,"metadata":{},"cells":[]}');
 * if (notebook.cells.length !== 0) throw new Error("wrong");
 * ```
 */
export function readNotebook(json: string): Notebook {
  let raw: unknown;
  try {
    raw = JSON.parse(json);
  } catch (error) {
    throw new SyntaxError(
      `Cannot read notebook: it is not JSON (${error instanceof Error ? error.message : error})`,
    );
  }
  const parsed = schema.safeParse(raw);
  if (!parsed.success) {
    const { path, message } = parsed.error.issues[0]!;
    throw new SyntaxError(`Cannot read notebook: at ${path.join(".") || "the top"}: ${message}`);
  }
  const seen = new Set<string>();
  for (const { id } of parsed.data.cells) {
    if (seen.has(id)) {
      throw new SyntaxError(`Cannot read notebook: every cell needs an id of its own, got "${id}" twice`);
    }
    seen.add(id);
  }
  return parsed.data;
}

/**
 * Writes a notebook as the text of an `.ipynb` file: keys in alphabetical order, one space of indentation, texts split
 * into lines, a newline at the end. The same notebook gives the same bytes.
 *
 * @example
 * ```ts
 * import { readNotebook, writeNotebook } from "./mod.ts";
 * const json = writeNotebook(readNotebook('{"nbformat":4,"nbformat_minor":5,"metadata":{},"cells":[]}'));
 * if (!json.endsWith("}\n")) throw new Error("wrong");
 * ```
 */
export function writeNotebook(notebook: Notebook): string {
  const cells = notebook.cells.map((cell) => ({
    ...cell,
    source: linesOf(cell.source),
    ...(cell.cell_type === "code" ? { outputs: cell.outputs.map(writtenOutput) } : {}),
  }));
  return `${JSON.stringify(sortedKeys({ ...notebook, cells }), null, 1)}\n`;
}

function linesOf(source: string): string[] {
  return source === "" ? [] : source.match(/[^\n]*\n|[^\n]+$/g) ?? [];
}

function writtenOutput(output: CellOutput): unknown {
  if (output.output_type === "stream") return { ...output, text: linesOf(output.text) };
  if (output.output_type === "error") return output;
  const data = Object.fromEntries(
    Object.entries(output.data).map(([type, value]) => [
      type,
      typeof value === "string" && !/json$/.test(type) ? linesOf(value) : value,
    ]),
  );
  return { ...output, data };
}

function sortedKeys(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(sortedKeys);
  if (typeof value !== "object" || value === null) return value;
  const entries = Object.entries(value).sort(([a], [b]) => a < b ? -1 : a > b ? 1 : 0);
  return Object.fromEntries(entries.map(([key, inner]) => [key, sortedKeys(inner)]));
}
