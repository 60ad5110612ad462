import type { DataFrame } from "danfojs";
import { loadDanfojs } from "./_danfojs.ts";

/** A column of one kind: numbers, text or yes/no; null where nothing was logged. */
export type FrameColumn =
  | readonly (number | null)[]
  | readonly (string | null)[]
  | readonly (boolean | null)[];

type Kind = "float32" | "string" | "boolean";

const kindNames: Readonly<Record<string, Kind>> = { number: "float32", string: "string", boolean: "boolean" };

function kindOf(name: string, column: FrameColumn): Kind {
  const kinds = new Set<Kind>();
  for (const cell of column) {
    if (cell === null) continue;
    const kind = kindNames[typeof cell];
    if (!kind) {
      throw new TypeError(
        `Cannot make a frame: column "${name}" holds numbers, text or yes/no, got ${typeof cell}`,
      );
    }
    kinds.add(kind);
  }
  if (kinds.size > 1) {
    throw new TypeError(
      `Cannot make a frame: column "${name}" must hold one kind, got ${[...kinds].join(" and ")}`,
    );
  }
  return [...kinds][0] ?? "string";
}

const escape = (text: string): string => text.replace(/[&<>"']/g, (sign) => `&#${sign.charCodeAt(0)};`);

function htmlTable(names: readonly string[], rows: readonly (readonly unknown[])[], total: number): string {
  const cell = (value: unknown): string =>
    value === null || value === undefined || (typeof value === "number" && Number.isNaN(value))
      ? ""
      : escape(String(value));
  const head = names.map((name) => `<th scope="col">${escape(name)}</th>`).join("");
  const body = rows.map((row) => `<tr>${row.map((value) => `<td>${cell(value)}</td>`).join("")}</tr>`).join(
    "",
  );
  const label = `First ${rows.length} of ${total} rows`;
  return `<div class="table-scroll" tabindex="0" role="region" aria-label="${label}"><table><caption>${label}</caption>` +
    `<thead><tr>${head}</tr></thead><tbody>${body}</tbody></table></div>`;
}

/**
 * Gives a danfojs DataFrame to explore a log with. No result is computed by it: it is a view at the edge.
 *
 * `columns` is an object of columns of one length; each column's dtype is set from what it holds, never guessed by the
 * frame. A missing number becomes NaN, missing text an empty cell, a missing yes/no null. Columns whose names would hide
 * a method of the frame ("mean", "shape", "index" and so on) get an underscore at their end. A cell that ends with the
 * frame shows its first ten rows as an escaped table. danfojs is loaded when this is first called.
 *
 * Throws RangeError for columns of different lengths or none, TypeError for a column of mixed kinds.
 *
 * @example
 * ```ts
 * import { toFrame } from "overiron";
 * const frame = await toFrame({ centre: [301, null], outcome: ["ferrous", "masked-good"] });
 * if (frame.shape[0] !== 2) throw new Error("wrong shape");
 * ```
 */
export async function toFrame(columns: Readonly<Record<string, FrameColumn>>): Promise<DataFrame> {
  const entries = Object.entries(columns);
  const length = entries[0]?.[1].length;
  if (length === undefined) {
    throw new RangeError("Cannot make a frame: it needs at least one column, got none");
  }
  const ragged = entries.find(([, column]) => column.length !== length);
  if (ragged) {
    throw new RangeError(
      `Cannot make a frame: column "${ragged[0]}" must have ${length} cells like the first, got ${
        ragged[1].length
      }`,
    );
  }
  const { DataFrame } = loadDanfojs();
  const probe = new DataFrame({ a: [1] }) as unknown as Record<string, unknown>;
  const names = entries.map(([name]) => name !== "a" && name in probe ? `${name}_` : name);
  const dtypes = entries.map(([name, column]) => kindOf(name, column));
  const data: Record<string, unknown[]> = {};
  entries.forEach(([, column], i) => {
    data[names[i]!] = column.map((cell) => {
      if (cell !== null) return cell;
      return dtypes[i] === "float32" ? NaN : dtypes[i] === "string" ? "" : null;
    });
  });
  const frame = new DataFrame(data, { columns: names, dtypes });
  Object.defineProperty(frame, Symbol.for("Jupyter.display"), {
    enumerable: false,
    value: () => {
      const rows = Array.from(
        { length: Math.min(10, length) },
        (_, row) => names.map((name) => data[name]![row]),
      );
      return {
        "text/html": htmlTable(names, rows, length),
        "text/plain": `DataFrame of ${length} rows: ${names.join(", ")}`,
      };
    },
  });
  return frame;
}
