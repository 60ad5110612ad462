import { FIELDS } from "../log/fields.ts";

type Row = Record<string, string>;

/** A saved log, taken apart again: outings by id, and signals by id in the order of the file. */
export interface PhoneFile {
  readonly outings: ReadonlyMap<string, Row>;
  readonly signals: ReadonlyMap<
    string,
    { readonly outing: string; readonly values: Row; readonly finds: readonly Row[] }
  >;
}

const refuse = (why: string): never => {
  throw new SyntaxError(`This file was not taken in: ${why}. Nothing on this phone was changed`);
};

/**
 * Reads CSV by RFC 4180; a quote that is never closed, or a row of another length, means that the file is cut or is not ours.
 *
 * Gives rows of cells as text. Throws SyntaxError in words for the person at the phone.
 *
 * @example
 * ```ts
 * import { csvRows } from "./phone_import.ts";
 * if (csvRows('a,"b ""c"""\r\n')[0]![1] !== 'b "c"') throw new Error("wrong");
 * ```
 */
export function csvRows(text: string): string[][] {
  const rows: string[][] = [];
  let row: string[] = [], cell = "", quoted = false, wasQuoted = false;
  const endCell = (): void => {
    row.push(cell);
    cell = "";
    wasQuoted = false;
  };
  for (let i = 0; i < text.length; i++) {
    const sign = text[i]!;
    if (quoted) {
      if (sign !== '"') cell += sign;
      else if (text[i + 1] === '"') {
        cell += '"';
        i++;
      } else quoted = false;
    } else if (sign === '"' && cell === "" && !wasQuoted) quoted = wasQuoted = true;
    else if (sign === ",") endCell();
    else if (sign === "\n" || sign === "\r") {
      if (sign === "\r" && text[i + 1] === "\n") i++;
      endCell();
      rows.push(row);
      row = [];
    } else cell += sign;
  }
  if (quoted) return refuse("it is cut off inside a quoted cell");
  if (cell !== "" || row.length > 0) {
    endCell();
    rows.push(row);
  }
  const wide = rows[0]?.length ?? 0;
  const ragged = rows.findIndex((each) => each.length !== wide);
  if (ragged >= 0) {
    return refuse(`row ${ragged + 1} has ${rows[ragged]!.length} cells in place of ${wide}: it is cut off`);
  }
  return rows;
}

/**
 * Gives how many signals a file holds by its own name, as the phone page names it; null where the name does not say. A browser may add
 * " (1)" to a name that is taken.
 *
 * @example
 * ```ts
 * import { signalsNamed } from "./phone_import.ts";
 * if (signalsNamed("dig-log-2026-05-02-12-signals (1).csv") !== 12) throw new Error("wrong");
 * ```
 */
export function signalsNamed(name: string): number | null {
  const count = /-(\d+)-signals(?: ?\(\d+\))?\.(?:csv|json)$/.exec(name)?.[1];
  return count === undefined ? null : Number(count);
}

function rowsOf(text: string): { rows: Row[]; outings: Record<string, unknown> } {
  const body = text.replace(/^\ufeff/, "");
  if (!body.trimStart().startsWith("{")) {
    const [headings = [], ...rest] = csvRows(body);
    if (!headings.includes("signal_id") || !headings.includes("outing_id")) {
      return refuse("it is not a log that this page saved");
    }
    if (!/[\r\n]$/.test(body)) return refuse("its last line has no end: it is cut off");
    return {
      rows: rest.map((cells) => Object.fromEntries(headings.map((name, j) => [name, cells[j]!]))),
      outings: {},
    };
  }
  let value: { schema?: unknown; count?: unknown; signals?: unknown; outings?: unknown };
  try {
    value = JSON.parse(body);
  } catch {
    return refuse("it is cut off, or is not a log that this page saved");
  }
  if (
    typeof value.schema !== "string" || !value.schema.startsWith("overiron-phone-log/") ||
    !Array.isArray(value.signals)
  ) {
    return refuse("it is not a log that this page saved");
  }
  if (value.schema !== "overiron-phone-log/1") return refuse("it was saved by another version of this page");
  if (value.count !== value.signals.length) {
    return refuse(`it says that it holds ${value.count} signals, but holds ${value.signals.length}`);
  }
  return { rows: value.signals as Row[], outings: (value.outings ?? {}) as Record<string, unknown> };
}

/**
 * Takes a saved log apart again, CSV or JSON. A file cut off between two rows is known by its name, which says how many signals it holds.
 *
 * Throws SyntaxError with words for the person at the phone: a file that is cut off, of another version, or not a log of this page.
 *
 * @example
 * ```ts
 * import { parsePhoneFile } from "./phone_import.ts";
 * const text = "signal_id,outing_id,site,dug\r\na-01,a,K7,no\r\n";
 * if (parsePhoneFile(text).signals.get("a-01")!.values.dug !== "no") throw new Error("wrong");
 * let message = "";
 * try { parsePhoneFile(text, { name: "dig-log-2026-05-02-2-signals.csv" }); } catch (error) { message = (error as Error).message; }
 * if (!message.includes("its name says 2 signals")) throw new Error(message);
 * ```
 */
export function parsePhoneFile(text: string, options: { readonly name?: string } = {}): PhoneFile {
  const { rows, outings: stated } = rowsOf(text);
  const named = signalsNamed(options.name ?? "");
  if (named !== null && named !== rows.length) {
    return refuse(
      `its name says ${named} signals, but it holds ${rows.length}: it is cut off, or was changed`,
    );
  }
  const outings = new Map<string, Row>();
  const signals = new Map<string, { outing: string; values: Row; finds: Row[] }>();
  const filled = (from: Record<string, unknown>, keep: (name: string) => boolean): Row =>
    Object.fromEntries(
      Object.entries(from).flatMap(([name, value]) =>
        keep(name) && (typeof value === "string" || typeof value === "number") && value !== ""
          ? [[name, String(value)]]
          : []
      ),
    );
  const known = (table: "outing" | "signal" | "find") => new Set(FIELDS[table].map(({ name }) => name));
  const [ofOuting, ofSignal, ofFind] = [known("outing"), known("signal"), known("find")];
  for (const [id, values] of Object.entries(stated)) {
    if (typeof values === "object" && values !== null) {
      outings.set(
        id,
        filled(values as Record<string, unknown>, (name) => ofOuting.has(name) && name !== "outing_id"),
      );
    }
  }
  rows.forEach((row, i) => {
    const { signal_id: id, outing_id: outing } = filled(
      row,
      (name) => name === "signal_id" || name === "outing_id",
    );
    if (id === undefined || outing === undefined) {
      return refuse(`row ${i + 1} has no signal_id or no outing_id`);
    }
    if (signals.has(id)) return refuse(`it holds the signal ${id} twice`);
    if (!outings.has(outing)) {
      outings.set(
        outing,
        filled(row, (name) => ofOuting.has(name) && name !== "outing_id"),
      );
    }
    const finds: Row[] = [];
    for (const [name, value] of Object.entries(filled(row, () => true))) {
      const match = /^([a-z_]+?)(?:_(\d{1,2}))?$/.exec(name);
      if (match === null || !ofFind.has(match[1]!) || ofSignal.has(name) || ofOuting.has(name)) continue;
      const k = Number(match[2] ?? 1) - 1;
      while (finds.length <= k) finds.push({});
      finds[k]![match[1]!] = value;
    }
    const values = filled(row, (name) => ofSignal.has(name) && name !== "signal_id" && name !== "outing_id");
    signals.set(id, { outing, values, finds });
  });
  return { outings, signals };
}
