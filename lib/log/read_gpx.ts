import { decodeText } from "./decode_text.ts";
import { FileFault } from "./file_fault.ts";
import { GPX_NAMESPACE, GPX_TYPES, GPX_VALUES, type GpxType } from "./_gpx_schema.ts";
import {
  type Encoding,
  ENCODINGS,
  type ReadOptions,
  refuseEqualHeadings,
  refuseLargeFile,
  type Table,
  TableNotes,
  tableOfRows,
  type WrittenRow,
} from "./table.ts";

const INSTANCE = "http://www.w3.org/2001/XMLSchema-instance";
const MOST_REPEATS = 100;

export const GPX_NOTES = {
  tracks: "A track or a route was passed over: waypoints alone are signals",
} as const;

/** The encoding that an XML declaration names, where it is one that this library reads. */
function declaredEncoding(bytes: Uint8Array, file: string): Encoding | undefined {
  const head = new TextDecoder("latin1").decode(bytes.subarray(0, 200));
  const name = /^<\?xml\s[^>]*?encoding\s*=\s*["']([\w.:-]+)["']/.exec(head)?.[1]?.toLowerCase();
  if (name === undefined || name === "utf-8" || name === "us-ascii") return undefined;
  const encoding = name === "iso-8859-1" ? "windows-1252" : name;
  if ((ENCODINGS as readonly string[]).includes(encoding)) return encoding as Encoding;
  throw new FileFault(
    `Cannot read ${file}: its encoding must be one of ${ENCODINGS.join(", ")}, got ${
      JSON.stringify(name)
    } in its first line; save it as UTF-8`,
    { file, line: 1 },
  );
}

interface Open {
  readonly name: string;
  /** Null inside extensions, where other namespaces hold what they like. */
  readonly type: GpxType | null;
  readonly value: string | null;
  /** How far down the order of children it is. */
  at: number;
  text: string;
  hasChild: boolean;
}

/**
 * Reads the waypoints of a GPX 1.1 file into a table: a row a waypoint, with latitude, longitude, then what its elements
 * say, under their names, then what its extensions say. Tracks and routes are passed over and noted.
 *
 * The file must follow the schema of GPX 1.1, down to the order of elements. A document type declaration, and with it
 * every entity of one's own, is refused.
 *
 * Throws FileFault, with the line, for text that is not well-formed XML, breaks the schema, has a document type
 * declaration, has no waypoint, or goes beyond a limit.
 *
 * @example
 * ```ts
 * import { readGpx } from "../log/read_gpx.ts";
 * const text = '<gpx version="1.1" creator="me" xmlns="http://www.topografix.com/GPX/1/1">' +
 *   '<wpt lat="1.5" lon="2"><name>S1</name></wpt></gpx>';
 * const table = await readGpx(new TextEncoder().encode(text), { file: "log.gpx" });
 * if (table.headings.join() !== "latitude,longitude,name" || table.cell(0, 2) !== "S1") throw new Error("wrong");
 * ```
 */
export async function readGpx(bytes: Uint8Array, options: ReadOptions): Promise<Table> {
  const { file, maxFileBytes = 1 << 29, maxCells = 20_000_000, maxDepth = 100 } = options;
  refuseLargeFile(bytes.length, file, maxFileBytes);
  const encoding = options.encoding ?? declaredEncoding(bytes, file);
  const { body, note } = decodeText(bytes, file, encoding === undefined ? {} : { encoding });
  const notes = new TableNotes();
  if (note !== null) notes.add(note, 1, "");
  const { SaxesParser } = await import("saxes");
  const parser = new SaxesParser({ xmlns: true, position: false });
  const refuse = (rule: string, got: string, line = parser.line): never => {
    throw new FileFault(`Cannot read ${file}: ${rule}, got ${got} on line ${line}`, { file, line });
  };

  const rows: (WrittenRow & { cells: string[] })[] = [];
  const columns = new Map<string, number>([["latitude", 0], ["longitude", 1]]);
  const open: Open[] = [];
  let begun = 1;
  let row: (WrittenRow & { cells: string[] }) | null = null;
  const put = (heading: string, text: string): void => {
    if (row === null) return;
    let name = heading;
    for (let i = 2; (row.cells[columns.get(name) ?? -1] ?? "") !== ""; i++) {
      if (i > MOST_REPEATS) refuse(`a waypoint may say one thing ${MOST_REPEATS} times`, "it more often");
      name = `${heading}_${i}`;
    }
    let column = columns.get(name);
    if (column === undefined) {
      column = columns.size;
      columns.set(name, column);
      if (columns.size * rows.length > maxCells) {
        refuse(
          `it must have ${maxCells} cells or fewer`,
          "more; raise maxCells (--max-cells) if it is meant",
        );
      }
    }
    while (row.cells.length <= column) row.cells.push("");
    row.cells[column] = text;
  };

  parser.on("error", (error) => refuse("it must be well-formed XML", error.message.replace(/\.$/, "")));
  parser.on("doctype", () => refuse("it must not declare a document type or entities", "a DOCTYPE"));
  parser.on("opentagstart", () => {
    begun = parser.line;
  });
  parser.on("opentag", (tag) => {
    if (open.length > maxDepth) {
      refuse(
        `elements must lie ${maxDepth} deep or less`,
        "deeper ones; raise maxDepth (--max-depth) if it is meant",
      );
    }
    const parent = open.at(-1);
    if (parent !== undefined) parent.hasChild = true;
    const inExtensions = parent !== undefined && (parent.type === null && parent.value === null);
    if (inExtensions) {
      if (parent.name === "extensions" && (tag.uri === GPX_NAMESPACE || tag.uri === "")) {
        refuse("elements in extensions must be of another namespace", `<${tag.name}>`, begun);
      }
      open.push({ name: tag.local, type: null, value: null, at: 0, text: "", hasChild: false });
      return;
    }
    let typeName = "gpxType";
    if (parent === undefined) {
      const version = tag.attributes["version"]?.value;
      if (tag.local !== "gpx") refuse("it must be GPX", `<${tag.name}>`, begun);
      if (tag.uri !== GPX_NAMESPACE) {
        refuse(
          `it must be GPX 1.1 (xmlns="${GPX_NAMESPACE}")`,
          version === undefined ? "another namespace" : `version ${version} in another namespace`,
          begun,
        );
      }
    } else {
      const children = parent.type?.children ?? [];
      const index = children.findIndex(([name], i) => i >= parent.at && name === tag.local);
      if (tag.uri !== GPX_NAMESPACE || index < 0) {
        const known = tag.uri === GPX_NAMESPACE && children.some(([name]) => name === tag.local);
        refuse(
          known
            ? `elements of ${parent.name} must stand once and in the order of the schema (${
              children.map(([name]) => name).join(", ")
            })`
            : `${parent.name} must hold elements of GPX 1.1 only`,
          `<${tag.name}>`,
          begun,
        );
      }
      const [, type, many] = children[index]!;
      parent.at = many === "*" ? index : index + 1;
      typeName = type;
    }
    const type = GPX_TYPES.get(typeName) ?? null;
    checkAttributes(tag.name, tag.attributes, type, refuse);
    const simple = GPX_VALUES.has(typeName) ? typeName : null;
    open.push({ name: tag.local, type, value: simple, at: 0, text: "", hasChild: false });
    if (open.length === 2 && (tag.local === "trk" || tag.local === "rte")) {
      notes.add(GPX_NOTES.tracks, begun, tag.local);
    }
    if (open.length === 2 && tag.local === "wpt") {
      row = {
        cells: [tag.attributes["lat"]!.value.trim(), tag.attributes["lon"]!.value.trim()],
        line: begun,
      };
      rows.push(row);
    } else if (open.length === 3 && row !== null && tag.local === "link") {
      put("link", tag.attributes["href"]!.value.trim());
    }
  });
  const text = (piece: string): void => {
    const top = open.at(-1);
    if (top === undefined) return;
    if (top.type !== null && top.value === null && /[^ \t\r\n]/.test(piece)) {
      refuse(`${top.name} must hold elements only`, "text");
    }
    top.text += piece;
  };
  parser.on("text", text);
  parser.on("cdata", text);
  parser.on("closetag", () => {
    const done = open.pop()!;
    const value = done.text.trim();
    if (done.value !== null) {
      const { rule, allows } = GPX_VALUES.get(done.value)!;
      if (!allows(value)) refuse(`${done.name} must ${rule}`, JSON.stringify(value.slice(0, 60)));
      if (open.length === 2) put(done.name, value);
    } else if (done.type === null && done.name !== "extensions" && !done.hasChild && value !== "") {
      const from = open.findIndex(({ name, type }) => type === null && name === "extensions");
      const path = [...open.slice(from + 1).map(({ name }) => name), done.name].join(".");
      const own = GPX_TYPES.get("wptType")!.children.some(([name]) => name === path);
      put(own ? `extensions.${path}` : path, value);
    }
    if (open.length === 1) row = null;
  });
  parser.write(new TextDecoder().decode(body)).close();

  if (rows.length === 0) {
    const tracks = notes.list().some(({ text }) => text === GPX_NOTES.tracks);
    throw new FileFault(
      `Cannot read ${file}: it must have a waypoint (wpt), got ${tracks ? "tracks or routes only" : "none"}`,
      { file },
    );
  }
  const headings = [...columns.keys()];
  refuseEqualHeadings(headings, file, rows[0]!.line);
  return tableOfRows(file, headings, rows, { notes: notes.list() });
}

function checkAttributes(
  name: string,
  attributes: Readonly<Record<string, { local: string; prefix: string; uri: string; value: string }>>,
  type: GpxType | null,
  refuse: (rule: string, got: string) => never,
): void {
  const known = new Map(type?.attributes ?? []);
  const met = new Set<string>();
  for (const attribute of Object.values(attributes)) {
    if (attribute.prefix === "xmlns" || attribute.local === "xmlns" || attribute.uri === INSTANCE) continue;
    const wanted = attribute.uri === "" ? known.get(attribute.local) : undefined;
    if (wanted === undefined) {
      refuse(
        `<${name}> must have no attribute that GPX 1.1 does not know`,
        JSON.stringify(attribute.local.slice(0, 60)),
      );
    }
    met.add(attribute.local);
    const { rule, allows } = GPX_VALUES.get(wanted!)!;
    // A fixed text is compared as it stands; numbers may have white space round them.
    const value = wanted === "version" ? attribute.value : attribute.value.trim();
    if (!allows(value)) {
      refuse(`${attribute.local} of <${name}> must ${rule}`, JSON.stringify(attribute.value.slice(0, 60)));
    }
  }
  for (const [wanted] of known) {
    if (!met.has(wanted)) refuse(`<${name}> must have the attribute ${wanted}`, "none");
  }
}
