/** A value of a JSON text with the physical line on which it begins. Numbers are kept as they are written. */
export type JsonNode =
  | {
    readonly kind: "object";
    readonly line: number;
    readonly members: readonly (readonly [string, JsonNode])[];
  }
  | { readonly kind: "array"; readonly line: number; readonly items: readonly JsonNode[] }
  | { readonly kind: "string" | "number" | "literal"; readonly line: number; readonly text: string };

/** A text that is not JSON, or goes beyond a limit. */
export class JsonFault extends Error {
  readonly line: number;
  constructor(rule: string, line: number) {
    super(rule);
    this.line = line;
  }
}

export interface ParseJsonOptions {
  /** The line of the text's first character. Default 1. */
  readonly line?: number;
  /** The most values allowed, all levels together. Default 20 million. */
  readonly maxValues?: number;
  /** How deep values may lie in one another. Default 50. */
  readonly maxDepth?: number;
}

const NUMBER = /-?(?:0|[1-9]\d*)(?:\.\d+)?(?:[eE][+-]?\d+)?/y;
// deno-lint-ignore no-control-regex
const PLAIN = /[^"\\\u0000-\u001f]*/y;
const SPACE = /[ \t]*/y;

/**
 * Reads a JSON text (RFC 8259) into values with their lines. It is stricter than `JSON.parse` in that no object may have
 * two members of one name, which would lose one of them.
 *
 * Throws JsonFault with the line.
 */
export function parseJsonText(text: string, options: ParseJsonOptions = {}): JsonNode {
  const { maxValues = 20_000_000, maxDepth = 50 } = options;
  let at = 0, line = options.line ?? 1, values = 0;
  const fault = (rule: string): never => {
    throw new JsonFault(rule, line);
  };
  const got = (): string => at >= text.length ? "the end" : JSON.stringify(text.slice(at, at + 12));
  const run = (pattern: RegExp): string => {
    pattern.lastIndex = at;
    const found = pattern.exec(text)?.[0] ?? "";
    at += found.length;
    return found;
  };
  const space = (): void => {
    for (;;) {
      const code = text.charCodeAt(at);
      if (code === 10 || code === 13) {
        if (code === 10 || text.charCodeAt(at + 1) !== 10) line++;
        at++;
      } else if (code === 32 || code === 9) run(SPACE);
      else return;
    }
  };
  const string = (): string => {
    at++;
    let out = "";
    for (;;) {
      out += run(PLAIN);
      const mark = text[at];
      if (mark === '"') {
        at++;
        return out;
      }
      if (mark !== "\\") fault(`a text must be closed on its line, got ${got()} in it`);
      const escape = text[at + 1];
      if (escape === "u") {
        const hex = text.slice(at + 2, at + 6);
        if (!/^[0-9a-fA-F]{4}$/.test(hex)) fault(`\\u must have four hexadecimal digits, got ${got()}`);
        out += String.fromCharCode(parseInt(hex, 16));
        at += 6;
      } else {
        const plain = escape === undefined ? undefined : ESCAPES.get(escape);
        if (plain === undefined) fault(`a backslash must begin an escape of JSON, got ${got()}`);
        out += plain;
        at += 2;
      }
    }
  };
  const value = (depth: number): JsonNode => {
    space();
    const begun = line;
    if (++values > maxValues) {
      fault(`it must have ${maxValues} values or fewer; raise maxCells (--max-cells) if it is meant`);
    }
    if (depth > maxDepth) {
      fault(`values must lie ${maxDepth} deep or less; raise maxDepth (--max-depth) if it is meant`);
    }
    const mark = text[at];
    if (mark === "{") {
      const members: [string, JsonNode][] = [];
      const names = new Set<string>();
      at++;
      space();
      if (text[at] === "}") at++;
      else {
        for (;;) {
          space();
          if (text[at] !== '"') fault(`an object's member must have a name in double quotes, got ${got()}`);
          const name = string();
          if (names.has(name)) fault("no two members of an object may share a name");
          names.add(name);
          space();
          if (text[at] !== ":") fault(`a colon must follow a name, got ${got()}`);
          at++;
          members.push([name, value(depth + 1)]);
          space();
          if (text[at] === "}") break;
          if (text[at] !== ",") fault(`a comma or a closing brace must follow a member, got ${got()}`);
          at++;
        }
        at++;
      }
      return { kind: "object", line: begun, members };
    }
    if (mark === "[") {
      const items: JsonNode[] = [];
      at++;
      space();
      if (text[at] === "]") at++;
      else {
        for (;;) {
          items.push(value(depth + 1));
          space();
          if (text[at] === "]") break;
          if (text[at] !== ",") fault(`a comma or a closing bracket must follow an item, got ${got()}`);
          at++;
        }
        at++;
      }
      return { kind: "array", line: begun, items };
    }
    if (mark === '"') return { kind: "string", line: begun, text: string() };
    for (const literal of ["true", "false", "null"]) {
      if (text.startsWith(literal, at)) {
        at += literal.length;
        return { kind: "literal", line: begun, text: literal };
      }
    }
    const number = run(NUMBER);
    if (number === "") fault(`a value must follow, got ${got()}`);
    return { kind: "number", line: begun, text: number };
  };
  const top = value(0);
  space();
  if (at < text.length) fault(`nothing must follow the value, got ${got()}`);
  return top;
}

const ESCAPES: ReadonlyMap<string, string> = new Map([
  ['"', '"'],
  ["\\", "\\"],
  ["/", "/"],
  ["b", "\b"],
  ["f", "\f"],
  ["n", "\n"],
  ["r", "\r"],
  ["t", "\t"],
]);
