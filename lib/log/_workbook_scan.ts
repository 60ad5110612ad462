import { FileFault } from "./file_fault.ts";
import { type ZipMember, zipMembers } from "./_zip_members.ts";

/** What a sheet holds that its values alone do not tell. Rows count from 1, columns from 0. */
export interface SheetScan {
  readonly name: string;
  /** How many cells have a value. */
  readonly cells: number;
  readonly merges: readonly { readonly ref: string; readonly fromRow: number; readonly toRow: number }[];
  /** By row, then column: cells that are formulas with a result, formulas without, or errors. */
  readonly odd: ReadonlyMap<number, ReadonlyMap<number, OddCell>>;
  /** The first hidden row (1 for a hidden column), or null. */
  readonly hidden: number | null;
}

/** A cell that is not a plain value, with its value as stored. */
export interface OddCell {
  readonly kind: "formula" | "unsaved" | "error";
  readonly text: string;
}

export interface ScanWorkbookOptions {
  readonly file: string;
  readonly maxUnpackedBytes: number;
  readonly maxCells: number;
  readonly maxArchiveFiles: number;
}

/** A workbook looked through. */
export interface WorkbookScan {
  readonly sheets: readonly SheetScan[];
  /** The same workbook, without what is not needed for its values, and not packed. */
  readonly repacked: ArrayBuffer;
}

type Attributes = Readonly<Record<string, string>>;
interface Handlers {
  open(name: string, attributes: Attributes): void;
  text?(text: string): void;
  close?(name: string): void;
}

const bare = (name: string): string => name.slice(name.indexOf(":") + 1);
const A = "A".charCodeAt(0);

/** The row (from 1) and column (from 0) of an address such as "B3". */
function addressOf(ref: string): { row: number; column: number } | null {
  const match = /^([A-Z]{1,3})(\d{1,7})$/.exec(ref);
  if (match === null) return null;
  let column = 0;
  for (const letter of match[1]!) column = column * 26 + letter.charCodeAt(0) - A + 1;
  return { row: Number(match[2]), column: column - 1 };
}

/**
 * Looks through a workbook before its values are read: that it is whole and within limits, what its sheets are called,
 * and where cells are merged, hidden, computed or errors.
 *
 * Throws FileFault as `zipMembers` does, and for XML that is broken or declares a document type.
 */
export async function scanWorkbook(bytes: Uint8Array, options: ScanWorkbookOptions): Promise<WorkbookScan> {
  const { file, maxUnpackedBytes, maxCells, maxArchiveFiles } = options;
  const refuse = (rule: string, got: string): never => {
    throw new FileFault(`Cannot read ${file}: ${rule}, got ${got}`, { file });
  };
  if (bytes[0] === 0xd0 && bytes[1] === 0xcf) {
    refuse("it must be an .xlsx workbook without a password", "one with a password or of an old kind");
  }
  const members = await zipMembers(bytes, {
    file,
    maxUnpackedBytes,
    maxMembers: maxArchiveFiles,
    wanted: (path) => /\.(?:xml|rels)$/i.test(path) && !/^(?:docProps|customXml)\//.test(path),
  });
  const byPath = new Map(members.map((each) => [each.path, each]));
  const { SaxesParser } = await import("saxes");
  const parse = (member: ZipMember, handlers: Handlers): void => {
    let text = "";
    try {
      const wide = member.bytes[0] === 0xff && member.bytes[1] === 0xfe;
      text = new TextDecoder(wide ? "utf-16le" : "utf-8", { fatal: true }).decode(member.bytes);
    } catch {
      refuse("the XML of a workbook must be UTF-8", `something else in ${member.path}`);
    }
    const parser = new SaxesParser({ xmlns: false, position: false });
    parser.on(
      "error",
      (error) =>
        refuse(
          "the XML of a workbook must be well-formed",
          `${error.message.replace(/\.$/, "")} in ${member.path}`,
        ),
    );
    parser.on(
      "doctype",
      () =>
        refuse(
          "the XML of a workbook must not declare a document type or entities",
          `a DOCTYPE in ${member.path}`,
        ),
    );
    parser.on("opentag", (tag) => handlers.open(bare(tag.name), tag.attributes as Attributes));
    if (handlers.text !== undefined) parser.on("text", (piece) => handlers.text!(piece));
    if (handlers.close !== undefined) parser.on("closetag", (tag) => handlers.close!(bare(tag.name)));
    parser.write(text).close();
  };

  const book = byPath.get("xl/workbook.xml") ??
    members.find(({ path }) => /(?:^|\/)workbook\.xml$/.test(path));
  if (book === undefined) {
    return refuse("it must be an .xlsx workbook", "an archive without one");
  }
  const folder = book.path.replace(/[^/]*$/, "");
  const named: { name: string; id: string }[] = [];
  parse(book, {
    open(name, attributes) {
      if (name !== "sheet") return;
      const id = Object.entries(attributes).find(([key]) => bare(key) === "id" && key !== "id")?.[1];
      if (id !== undefined) named.push({ name: attributes["name"] ?? "", id });
    },
  });
  const targets = new Map<string, string>();
  const relations = byPath.get(`${folder}_rels/${book.path.slice(folder.length)}.rels`);
  if (relations === undefined) {
    return refuse("it must be an .xlsx workbook", "one that does not name its sheets");
  }
  parse(relations, {
    open(name, { Id, Target, Type }) {
      if (name !== "Relationship" || Id === undefined || Target === undefined) return;
      if (/\/worksheet$/.test(Type ?? "")) {
        targets.set(Id, Target.startsWith("/") ? Target.slice(1) : folder + Target);
      }
    },
  });

  const read = new Set<string>();
  const sheets: SheetScan[] = [];
  for (const { name, id } of named) {
    const path = targets.get(id);
    const member = path === undefined ? undefined : byPath.get(path);
    if (member === undefined) continue;
    read.add(member.path);
    sheets.push(scanSheet(name, member, parse, { file, maxCells }));
  }
  if (sheets.length === 0) refuse("a workbook must have a sheet", "none");
  // What was not looked at here is looked at for document types all the same.
  for (const member of members) {
    if (!read.has(member.path) && member !== book && member !== relations) parse(member, { open: () => {} });
  }
  const { zipSync } = await import("fflate");
  const packed = zipSync(Object.fromEntries(members.map(({ path, bytes }) => [path, bytes])), {
    level: 0,
    mtime: new Date("1980-01-02T00:00:00Z"),
  });
  return { sheets, repacked: packed.slice().buffer };
}

function scanSheet(
  name: string,
  member: ZipMember,
  parse: (member: ZipMember, handlers: Handlers) => void,
  { file, maxCells }: { file: string; maxCells: number },
): SheetScan {
  const merges: { ref: string; fromRow: number; toRow: number }[] = [];
  const odd = new Map<number, Map<number, OddCell>>();
  let cells = 0, hidden: number | null = null, row = 0, column = -1, lastRow = 0, lastColumn = 0;
  let formula = false, error = false, inValue = false, value = "";
  parse(member, {
    open(tag, attributes) {
      if (tag === "row") {
        row = Number(attributes["r"] ?? row + 1);
        column = -1;
        if (/^(?:1|true)$/.test(attributes["hidden"] ?? "")) hidden ??= row;
      } else if (tag === "col" && /^(?:1|true)$/.test(attributes["hidden"] ?? "")) hidden ??= 1;
      else if (tag === "c") {
        const at = addressOf(attributes["r"] ?? "");
        column = at?.column ?? column + 1;
        if (at !== null) row = at.row;
        lastRow = Math.max(lastRow, row);
        lastColumn = Math.max(lastColumn, column + 1);
        if (lastRow * lastColumn > maxCells) {
          throw new FileFault(
            `Cannot read ${file}: a sheet must have ${maxCells} cells or fewer, empty ones within counted, got ${lastRow} rows of ${lastColumn}; raise maxCells (--max-cells) if it is meant`,
            { file, line: row },
          );
        }
        formula = false;
        value = "";
        error = attributes["t"] === "e";
      } else if (tag === "f") formula = true;
      else if (tag === "v" || tag === "is") inValue = true;
      else if (tag === "mergeCell") {
        const ref = attributes["ref"] ?? "";
        const [from, to] = ref.split(":").map(addressOf);
        if (from && to) merges.push({ ref, fromRow: from.row, toRow: to.row });
      }
    },
    text(text) {
      if (inValue && value.length < 100) value += text;
    },
    close(tag) {
      if (tag === "v" || tag === "is") inValue = false;
      if (tag !== "c") return;
      if (value !== "") cells++;
      const kind = error ? "error" : formula ? (value !== "" ? "formula" : "unsaved") : null;
      if (kind === null) return;
      const known = odd.get(row);
      if (known === undefined) odd.set(row, new Map([[column, { kind, text: value }]]));
      else known.set(column, { kind, text: value });
    },
  });
  return { name, cells, merges, odd, hidden };
}

/** The names of the sheets with anything on them. A workbook of one sheet is not looked through. */
export async function filledSheets(
  bytes: Uint8Array,
  options: Partial<ScanWorkbookOptions> & { readonly file: string },
): Promise<readonly string[]> {
  const { file, maxUnpackedBytes = 1 << 29, maxCells = 20_000_000, maxArchiveFiles = 1000 } = options;
  if (bytes[0] !== 0x50) return [];
  const sheets = await zipMembers(bytes, {
    file,
    maxUnpackedBytes,
    maxMembers: maxArchiveFiles,
    wanted: (path) => /(?:^|\/)workbook\.xml$/.test(path),
  });
  const text = new TextDecoder().decode(sheets[0]?.bytes ?? new Uint8Array());
  if ((text.match(/<(?:\w+:)?sheet\s/g) ?? []).length < 2) return [];
  const scan = await scanWorkbook(bytes, { file, maxUnpackedBytes, maxCells, maxArchiveFiles });
  return scan.sheets.filter(({ cells }) => cells > 0).map(({ name }) => name);
}
