/** Why a cell of a feature table is empty; 0 is a cell that holds a number. */
export const MISSING = { there: 0, silent: 1, tooFewPasses: 2, notLogged: 3 } as const;

/**
 * A table of features: one row a signal, one column a feature.
 *
 * A missing cell is NaN in `columns` and has its reason in `whyMissing` (see {@link MISSING}); NaN lives inside this table
 * only. `groups` says which rows share a site, an outing, an observer, as whole numbers from 0.
 */
export interface FeatureTable {
  readonly n: number;
  readonly names: readonly string[];
  readonly columns: readonly Float64Array[];
  readonly whyMissing: readonly Uint8Array[];
  readonly groups: { readonly site: Int32Array; readonly outing: Int32Array; readonly observer: Int32Array };
}

/**
 * Refuses a feature table whose parts do not fit together.
 *
 * Every column has `n` cells, every name is used once, and a cell is either a finite number with reason 0 or NaN with a
 * reason of 1 to 3. Throws TypeError for a NaN or an infinity without a reason (one that was smuggled in) and for a number
 * that is called missing; RangeError for lengths and names.
 *
 * @example
 * ```ts
 * import { checkFeatureTable } from "overiron";
 * const group = Int32Array.of(0);
 * const table = { n: 1, names: ["centre"], columns: [Float64Array.of(NaN)], whyMissing: [Uint8Array.of(0)],
 *   groups: { site: group, outing: group, observer: group } };
 * let message = "";
 * try { checkFeatureTable(table); } catch (error) { message = (error as Error).message; }
 * if (!message.includes("no reason")) throw new Error(message);
 * ```
 */
export function checkFeatureTable(table: FeatureTable): void {
  const { n, names, columns, whyMissing, groups } = table;
  const refuse = (rule: string): never => {
    throw new RangeError(`Cannot use feature table: ${rule}`);
  };
  if (!Number.isSafeInteger(n) || n < 0) refuse(`n must be a whole number, got ${n}`);
  if (names.length !== columns.length || names.length !== whyMissing.length) {
    refuse(
      `need one column and one list of reasons a name, got ${names.length} names, ${columns.length} columns, ` +
        `${whyMissing.length} lists`,
    );
  }
  if (new Set(names).size !== names.length) refuse(`names must differ, got ${names.join(", ")}`);
  for (const [name, group] of Object.entries(groups)) {
    if (group.length !== n) refuse(`group ${name} must have ${n} rows, got ${group.length}`);
  }
  columns.forEach((column, j) => {
    const why = whyMissing[j]!, name = names[j]!;
    if (column.length !== n || why.length !== n) {
      refuse(`column ${name} must have ${n} rows, got ${column.length} and ${why.length}`);
    }
    for (let i = 0; i < n; i++) {
      const value = column[i]!, reason = why[i]!;
      if (reason > 3) refuse(`reasons are 0 to 3, got ${reason} in ${name}, row ${i}`);
      if (reason === 0 && !Number.isFinite(value)) {
        throw new TypeError(
          `Cannot use feature table: ${name}, row ${i} must be a finite number or missing with a reason, got ${value} with no reason`,
        );
      }
      if (reason !== 0 && !Number.isNaN(value)) {
        throw new TypeError(
          `Cannot use feature table: ${name}, row ${i} is called missing and must be NaN, got ${value}`,
        );
      }
    }
  });
}

/**
 * Gives the rows of a feature table that are asked for, in that order; a row may be asked for twice.
 *
 * @example
 * ```ts
 * import { takeRows } from "overiron";
 * const group = Int32Array.of(0, 1);
 * const table = { n: 2, names: ["centre"], columns: [Float64Array.of(10, 20)], whyMissing: [new Uint8Array(2)],
 *   groups: { site: group, outing: group, observer: group } };
 * if (takeRows(table, [1]).columns[0]![0] !== 20) throw new Error("wrong row");
 * ```
 */
export function takeRows(table: FeatureTable, rows: ArrayLike<number>): FeatureTable {
  const indices = Int32Array.from(rows);
  const bad = indices.find((row) => row < 0 || row >= table.n);
  if (bad !== undefined) {
    throw new RangeError(`Cannot take rows: each must be from 0 to ${table.n - 1}, got ${bad}`);
  }
  // Asked for again and again by folds: a loop takes a tenth of the time of a list made by a function.
  const taken = <List extends Float64Array | Int32Array | Uint8Array>(from: List, into: List): List => {
    for (let i = 0; i < indices.length; i++) into[i] = from[indices[i]!]!;
    return into;
  };
  const n = indices.length;
  const doubles = (from: Float64Array) => taken(from, new Float64Array(n));
  const wholes = (from: Int32Array) => taken(from, new Int32Array(n));
  return {
    n,
    names: table.names,
    columns: table.columns.map(doubles),
    whyMissing: table.whyMissing.map((why) => taken(why, new Uint8Array(n))),
    groups: {
      site: wholes(table.groups.site),
      outing: wholes(table.groups.outing),
      observer: wholes(table.groups.observer),
    },
  };
}

/**
 * Gives a feature table with only the named columns, in the order asked for. Throws RangeError for a name it lacks.
 *
 * @example
 * ```ts
 * import { takeFeatures } from "overiron";
 * const group = Int32Array.of(0);
 * const table = { n: 1, names: ["centre", "spread"], columns: [Float64Array.of(10), Float64Array.of(2)],
 *   whyMissing: [new Uint8Array(1), new Uint8Array(1)], groups: { site: group, outing: group, observer: group } };
 * if (takeFeatures(table, ["spread"]).columns[0]![0] !== 2) throw new Error("wrong column");
 * ```
 */
export function takeFeatures(table: FeatureTable, names: readonly string[]): FeatureTable {
  const places = names.map((name) => {
    const place = table.names.indexOf(name);
    if (place < 0) {
      throw new RangeError(
        `Cannot take feature: it must be one of ${table.names.join(", ")}, got "${name}"`,
      );
    }
    return place;
  });
  return {
    ...table,
    names: [...names],
    columns: places.map((place) => table.columns[place]!),
    whyMissing: places.map((place) => table.whyMissing[place]!),
  };
}
