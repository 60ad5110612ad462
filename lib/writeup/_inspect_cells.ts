import { type Cell, type Notebook, tagsOf } from "./notebook.ts";
import { type CellFault, parseCell, type ParsedCell, placeOf } from "./parse_cell.ts";

/** What is wrong with a cell, and where. */
export interface CellFinding {
  readonly kind:
    | "unreadable"
    | "syntax"
    | "types"
    | "used-before-defined"
    | "outputs-left"
    | "no-alternative-text"
    | "no-effect"
    | "unknown-reference";
  readonly cellId: string | null;
  /** From 1; null where the whole cell is meant. */
  readonly line: number | null;
  readonly message: string;
}

interface Code {
  readonly cell: Extract<Cell, { cell_type: "code" }>;
  readonly parsed: ParsedCell;
}

/** Finds what can be told of a notebook's cells from their text. `figures` and `sources` are what may be referred to. */
export function inspectCells(
  notebook: Notebook,
  known: { readonly figures: Pick<ReadonlySet<string>, "has">; readonly sources: ReadonlySet<string> },
): readonly CellFinding[] {
  const findings: CellFinding[] = [];
  const find = (cell: Cell, kind: CellFinding["kind"], message: string, line: number | null = null): void => {
    findings.push({ kind, cellId: cell.id, line, message });
  };
  const codes: Code[] = [];
  for (const cell of notebook.cells) {
    for (const { at, message, kind } of textFaults(cell, known)) {
      find(cell, kind, message, placeOf(cell.source, at).line);
    }
    if (cell.cell_type !== "code") continue;
    if (cell.outputs.length > 0 || cell.execution_count !== null) {
      find(cell, "outputs-left", "Outputs or a count are left in the file: clear them before it is kept");
    }
    if (tagsOf(cell).includes("skip-execution")) continue;
    const parsed: ParsedCell | CellFault = parseCell(cell.source);
    if ("code" in parsed) codes.push({ cell, parsed });
    else if (!tagsOf(cell).includes("raises-exception")) find(cell, "syntax", parsed.message, parsed.line);
  }
  findings.push(...usedBeforeDefined(codes), ...withoutEffect(codes));
  const order = new Map(notebook.cells.map((cell, i) => [cell.id, i]));
  return findings.map((each, i) => ({ each, i })).sort((a, b) =>
    order.get(a.each.cellId!)! - order.get(b.each.cellId!)! || a.i - b.i
  ).map(({ each }) => each);
}

/** Pictures without words for those who do not see them, and references that lead nowhere. */
function textFaults(
  cell: Cell,
  known: { readonly figures: Pick<ReadonlySet<string>, "has">; readonly sources: ReadonlySet<string> },
): { at: number; kind: CellFinding["kind"]; message: string }[] {
  const faults: { at: number; kind: CellFinding["kind"]; message: string }[] = [];
  const each = (
    pattern: RegExp,
    kind: CellFinding["kind"],
    say: (match: RegExpMatchArray) => string | null,
  ): void => {
    for (const match of cell.source.matchAll(pattern)) {
      const message = say(match);
      if (message !== null) faults.push({ at: match.index!, kind, message });
    }
  };
  if (cell.cell_type === "raw") return faults;
  each(
    /\[fig:([^\]\n]*)\]/g,
    "unknown-reference",
    ([, id]) => known.figures.has(id!) ? null : `No figure has the id "${id}"`,
  );
  each(
    /\[@([a-z][a-z0-9-]*)\]/g,
    "unknown-reference",
    ([, key]) => known.sources.has(key!) ? null : `No source of shared/references.json has the key "${key}"`,
  );
  if (cell.cell_type === "markdown") {
    each(
      /!\[\s*\]\(/g,
      "no-alternative-text",
      () => "A picture needs words between its brackets for those who do not see it",
    );
  }
  each(
    /<img\b(?![^>]*\balt\s*=\s*["'`][^"'`\s])[^>]*>/gi,
    "no-alternative-text",
    () => "A picture needs an alt text for those who do not see it",
  );
  each(
    /<svg\b(?![^>]*\baria-(?:label|labelledby|hidden)\s*=)[^>]*>/gi,
    "no-alternative-text",
    () => "A drawing needs an aria-label for those who do not see it",
  );
  if (cell.cell_type === "code" && typeof cell.metadata.alt !== "string") {
    each(
      /\bDeno\.jupyter\.(image|svg)\b/g,
      "no-alternative-text",
      ([, what]) =>
        `What Deno.jupyter.${what} shows has no words for those who do not see it: use figure(), or write "alt" in the cell's metadata`,
    );
  }
  return faults;
}

function usedBeforeDefined(codes: readonly Code[]): CellFinding[] {
  const definedIn = new Map<string, number>();
  codes.forEach(({ parsed }, i) => {
    for (const name of parsed.topNames) if (!definedIn.has(name)) definedIn.set(name, i);
  });
  return codes.flatMap(({ cell, parsed }, i) =>
    [...parsed.valueNames].flatMap((name): CellFinding[] => {
      const at = definedIn.get(name);
      if (at === undefined || at <= i || parsed.localNames.has(name)) return [];
      return [{
        kind: "used-before-defined",
        cellId: cell.id,
        line: lineOf(cell.source, name),
        message: `"${name}" is used here and defined only below, in cell ${codes[at]!.cell.id}`,
      }];
    })
  );
}

function withoutEffect(codes: readonly Code[]): CellFinding[] {
  return codes.flatMap(({ cell, parsed }, i): CellFinding[] => {
    const finding = (message: string, line: number | null = null): CellFinding => {
      return { kind: "no-effect", cellId: cell.id, line, message };
    };
    if (parsed.isEmpty) return [finding("The cell holds no code")];
    const idle = parsed.idleAt.map((at) =>
      finding(
        "This value is neither kept nor shown: a cell shows its last line only",
        placeOf(cell.source, at).line,
      )
    );
    if (idle.length > 0 || !parsed.onlyDeclares || tagsOf(cell).includes("parameters")) return idle;
    const used = [...parsed.topNames].some((name) =>
      parsed.readNames.has(name) || codes.slice(i + 1).some((later) => later.parsed.valueNames.has(name))
    );
    return used
      ? []
      : [finding(`The cell only defines ${[...parsed.topNames].join(", ") || "types"}, which nothing uses`)];
  });
}

function lineOf(source: string, name: string): number | null {
  const at = source.search(new RegExp(`(?<![\\w$.])${name.replace(/\$/g, "\\$")}(?![\\w$])`));
  return at < 0 ? null : placeOf(source, at).line;
}
