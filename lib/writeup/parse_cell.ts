import { parseSync } from "rolldown/utils";
import { HELPERS } from "./_prologue.ts";

/** What a fault in a cell's text is, and where: line and column of the cell itself, both from 1. */
export interface CellFault {
  readonly line: number;
  readonly column: number;
  readonly message: string;
}

/** A cell whose text can be read as TypeScript. */
export interface ParsedCell {
  /** Names that the cell's outermost `const`, `let` and `var` declare, each with its literal value where it is one. */
  readonly declared: ReadonlyMap<string, unknown>;
  /** Names that stand where a value is meant, not only a type. */
  readonly valueNames: ReadonlySet<string>;
  /** Names of the functions, methods and classes written in the cell. */
  readonly functionNames: ReadonlySet<string>;
  /** Names that the cell gives to the cells below it: what it declares or imports outermost, types left out. */
  readonly topNames: ReadonlySet<string>;
  /** Names that an inner scope of the cell, or the cell itself, declares: they hide others of the same name. */
  readonly localNames: ReadonlySet<string>;
  /** Names that are read somewhere in the cell, and not only where they are declared. */
  readonly readNames: ReadonlySet<string>;
  /** Whether there is nothing but space and comments. */
  readonly isEmpty: boolean;
  /** Whether every statement is an import or a declaration. */
  readonly onlyDeclares: boolean;
  /** Where statements begin that do nothing but name or compute a value, the last one left out: that one is shown. */
  readonly idleAt: readonly number[];
  /**
   * The text to send to the kernel: as many lines as the cell, each at its place. `usedNames` are the names used as values
   * anywhere in the notebook: an import that lacks one of them is reported.
   */
  code(usedNames: ReadonlySet<string>): string;
}

type Node = { readonly type: string; readonly start: number; readonly end: number } & Record<string, any>;
interface Edit {
  readonly start: number;
  readonly end: number;
  readonly text: string;
}

/**
 * Reads a cell as TypeScript before it is run: the kernel says nothing at all about a cell that it cannot read.
 *
 * Gives the cell in the form in which the kernel reports everything, or a {@link CellFault} with line and column.
 * Parser: oxc, as shipped with rolldown.
 *
 * @example
 * ```ts
 * import { parseCell } from "./mod.ts";
 * const fault = parseCell("const a = 1;\nconst b = ;");
 * if (!("line" in fault) || fault.line !== 2) throw new Error("wrong");
 * ```
 */
export function parseCell(source: string): ParsedCell | CellFault {
  const { program, errors } = parseSync(
    "cell.ts",
    source,
    {
      lang: "ts",
      sourceType: "module",
      showSemanticErrors: true,
      preserveParens: true,
    } as Parameters<typeof parseSync>[2],
  );
  const error = errors[0];
  if (error) {
    const at = error.labels[0]?.start ?? 0;
    return { ...placeOf(source, at), message: error.message };
  }
  const body = program.body as unknown as readonly Node[];
  const valueNames = new Set<string>();
  const functionNames = new Set<string>();
  const edits: Edit[] = [];
  let fault: CellFault | null = null;
  const refuse = (node: Node, message: string): void => {
    fault ??= { ...placeOf(source, node.start), message };
  };
  for (const statement of body) {
    if (statement.type.startsWith("Export")) refuse(statement, "A cell cannot export: leave the word out");
    else if (statement.type !== "ImportDeclaration") visit(statement);
  }
  if (fault) return fault;

  function visit(node: Node): void {
    if (node.type.startsWith("TS") && !VALUE_NODES.has(node.type)) return;
    if (node.type === "MetaProperty" && node.meta?.name === "import") {
      refuse(node, "A cell has no import.meta: the kernel does not know the notebook's place");
    }
    if (node.type === "Identifier" || node.type === "JSXIdentifier") valueNames.add(node.name);
    const named = node.id ?? node.key;
    const body = node.init ?? node.value ?? node;
    if (named?.type === "Identifier" && FUNCTIONS.has(body?.type)) functionNames.add(named.name);
    if (node.type === "ThrowStatement") {
      edits.push({ start: node.argument.start, end: node.argument.start, text: `${HELPERS.thrown}(` });
      edits.push({ start: node.argument.end, end: node.argument.end, text: ")" });
    }
    for (const [key, value] of Object.entries(node)) {
      if (node.computed === false && (key === "property" || (key === "key" && node.shorthand !== true))) {
        continue;
      }
      if (key === "typeAnnotation" || key === "typeArguments" || key === "typeParameters") continue;
      if (Array.isArray(value)) { for (const item of value) if (isNode(item)) visit(item); }
      else if (isNode(value)) visit(value);
    }
  }

  const last = body.at(-1);
  if (last?.type === "ExpressionStatement") {
    edits.push({
      start: last.expression.start,
      end: last.expression.start,
      text: `await ${HELPERS.value}((`,
    });
    edits.push({ start: last.expression.end, end: last.expression.end, text: "))" });
  }
  const names = namesIn(body);
  return {
    ...names,
    isEmpty: body.length === 0,
    onlyDeclares: body.every((node) => /Declaration$/.test(node.type)),
    idleAt: body.slice(0, -1).filter((node) => node.type === "ExpressionStatement" && isPure(node.expression))
      .map((node) => node.start),
    declared: declaredIn(body),
    valueNames,
    functionNames,
    code(usedNames) {
      const imports = body.filter((node) => node.type === "ImportDeclaration").map((node) => ({
        start: node.start,
        end: node.end,
        text: importText(node, source, usedNames),
      }));
      return applyEdits(source, [...edits, ...imports]);
    },
  };
}

/** Nodes of TypeScript that hold a value. */
const VALUE_NODES = new Set([
  "TSAsExpression",
  "TSSatisfiesExpression",
  "TSNonNullExpression",
  "TSTypeAssertion",
  "TSInstantiationExpression",
  "TSEnumDeclaration",
  "TSEnumBody",
  "TSEnumMember",
  "TSModuleDeclaration",
  "TSModuleBlock",
  "TSParameterProperty",
]);

const FUNCTIONS = new Set([
  "FunctionDeclaration",
  "FunctionExpression",
  "ArrowFunctionExpression",
  "ClassDeclaration",
])
  .add("ClassExpression");

const isNode = (value: unknown): value is Node => {
  return typeof value === "object" && value !== null && typeof (value as Node).type === "string";
};

/** Line and column, both from 1, of a place in a text. */
export function placeOf(source: string, offset: number): { line: number; column: number } {
  const before = source.slice(0, offset);
  return { line: before.split("\n").length, column: offset - before.lastIndexOf("\n") };
}

function importText(node: Node, source: string, usedNames: ReadonlySet<string>): string {
  const original = source.slice(node.start, node.end);
  const newlines = "\n".repeat(original.split("\n").length - 1);
  const specifiers = (node.specifiers as readonly Node[]).filter((each) => each.importKind !== "type");
  const allTypes = node.specifiers.length > 0 && specifiers.length === 0;
  if (node.importKind === "type" || allTypes) return `;${newlines}`;
  const nameOf = (each: Node): string => each.imported?.name ?? String(each.imported?.value ?? "default");
  const named = specifiers.filter((each) => each.type !== "ImportNamespaceSpecifier");
  const needed = named.filter((each) => usedNames.has(each.local.name)).map(nameOf);
  const attributes = (node.attributes as readonly Node[]).map((each) => {
    return `${JSON.stringify(each.key.name ?? each.key.value)}: ${JSON.stringify(each.value.value)}`;
  });
  const options = attributes.length > 0 ? `, { with: { ${attributes.join(", ")} } }` : "";
  const load = `await ${HELPERS.load}(${JSON.stringify(node.source.value)}, ${
    JSON.stringify(needed)
  }${options})`;
  const space = specifiers.find((each) => each.type === "ImportNamespaceSpecifier");
  const pattern = `{ ${
    named.map((each) => `${JSON.stringify(nameOf(each))}: ${each.local.name}`).join(", ")
  } }`;
  if (space && named.length > 0) {
    return `const ${space.local.name} = ${load}, ${pattern} = ${space.local.name};${newlines}`;
  }
  if (space) return `const ${space.local.name} = ${load};${newlines}`;
  if (named.length > 0) return `const ${pattern} = ${load};${newlines}`;
  return `${load};${newlines}`;
}

function declaredIn(body: readonly Node[]): Map<string, unknown> {
  const declared = new Map<string, unknown>();
  for (const statement of body) {
    if (statement.type !== "VariableDeclaration") continue;
    for (const { id, init } of statement.declarations as readonly Node[]) {
      if (id.type === "Identifier") declared.set(id.name, literalOf(init));
    }
  }
  return declared;
}

/** Whether an expression only names or computes a value: working it out changes nothing. */
function isPure(node: Node): boolean {
  if (["Identifier", "Literal", "ArrowFunctionExpression", "FunctionExpression"].includes(node.type)) {
    return true;
  }
  const parts: Readonly<Record<string, readonly string[]>> = {
    ParenthesizedExpression: ["expression"],
    MemberExpression: ["object"],
    BinaryExpression: ["left", "right"],
    LogicalExpression: ["left", "right"],
    TemplateLiteral: ["expressions"],
    ArrayExpression: ["elements"],
    TSAsExpression: ["expression"],
    TSNonNullExpression: ["expression"],
  };
  return (parts[node.type] ?? ["?"]).every((key) =>
    key !== "?" && [node[key]].flat().every((part: Node | null) => part === null || isPure(part))
  );
}

/** What a cell declares, outermost and inside, and what it reads. */
function namesIn(
  body: readonly Node[],
): { topNames: Set<string>; localNames: Set<string>; readNames: Set<string> } {
  const topNames = new Set<string>(), localNames = new Set<string>(), readNames = new Set<string>();
  const bind = (pattern: Node | null, into: Set<string>): void => {
    if (pattern === null) return;
    if (pattern.type === "Identifier") {
      into.add(pattern.name);
      localNames.add(pattern.name);
    } else if (pattern.type === "ObjectPattern") {
      for (const each of pattern.properties) bind(each.value ?? each.argument, into);
    } else if (pattern.type === "ArrayPattern") { for (const each of pattern.elements) bind(each, into); }
    else if (pattern.type === "AssignmentPattern") bind(pattern.left, into);
    else if (pattern.type === "RestElement") bind(pattern.argument, into);
  };
  const declare = (node: Node, into: Set<string>): void => {
    if (node.type === "VariableDeclaration") { for (const each of node.declarations) bind(each.id, into); }
    else if (/^(Function|Class|TSEnum)Declaration$/.test(node.type)) bind(node.id, into);
    else if (node.type === "ImportDeclaration") {
      for (const each of node.specifiers) if (each.importKind !== "type") bind(each.local, into);
    }
  };
  const inner = new Set<string>();
  const visit = (node: Node, binding: boolean): void => {
    if (node.type.startsWith("TS") && !VALUE_NODES.has(node.type)) return;
    if (node.type === "Identifier" && !binding) readNames.add(node.name);
    declare(node, inner);
    for (const each of node.params ?? []) bind(each.parameter ?? each, inner);
    if (node.type === "CatchClause") bind(node.param, inner);
    for (const [key, value] of Object.entries(node)) {
      if (node.computed === false && (key === "property" || (key === "key" && node.shorthand !== true))) {
        continue;
      }
      if (["typeAnnotation", "typeArguments", "typeParameters", "specifiers"].includes(key)) continue;
      const binds = key === "id" || key === "params" || key === "param";
      for (const part of [value].flat()) if (isNode(part)) visit(part, binds);
    }
  };
  for (const node of body) {
    if (node.type !== "ImportDeclaration" || node.importKind !== "type") declare(node, topNames);
    visit(node, false);
  }
  return { topNames, localNames, readNames };
}

function literalOf(node: Node | null): unknown {
  if (node?.type === "Literal") return node.value;
  if (node?.type === "UnaryExpression" && node.operator === "-" && node.argument.type === "Literal") {
    return -node.argument.value;
  }
  if (node?.type === "ArrayExpression") {
    const items = (node.elements as readonly (Node | null)[]).map(literalOf);
    return items.includes(undefined) ? undefined : items;
  }
  return undefined;
}

function applyEdits(source: string, edits: readonly Edit[]): string {
  // Stable: of two edits at one place the earlier stays outside where both open, which nesting never makes matter here.
  const ordered = edits.map((edit, i) => ({ edit, i })).sort((a, b) =>
    a.edit.start - b.edit.start || a.i - b.i
  );
  let out = "", at = 0;
  for (const { edit } of ordered) {
    out += source.slice(at, edit.start) + edit.text;
    at = edit.end;
  }
  return out + source.slice(at);
}
