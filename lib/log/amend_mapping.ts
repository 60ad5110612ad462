import type { ColumnMapping, MappedColumn } from "./mapping.ts";

/** Lines to add to a mapping. Columns are matched by heading, words and the rest by their own names. */
export interface MappingPatch {
  readonly columns?: readonly MappedColumn[];
  readonly constants?: Readonly<Record<string, string>>;
  readonly ids?: "row-number";
  readonly empty?: readonly string[];
  readonly readings?: ColumnMapping["readings"];
  readonly finds?: ColumnMapping["finds"];
}

/**
 * Adds lines to a mapping: a column of the same heading (and field, where both name one) is amended, words are joined,
 * whatever else is named is replaced. The mapping given is left as it is.
 *
 * @example
 * ```ts
 * import { amendMapping, parseMapping } from "overiron";
 * const mapping = parseMapping('{"schema":"overiron-columns/1","columns":[{"heading":"Day","field":"date"}]}');
 * const amended = amendMapping(mapping, { columns: [{ heading: "Day", order: "day-month-year" }] });
 * if (amended.columns[0]?.field !== "date" || amended.columns[0].order !== "day-month-year") throw new Error("wrong");
 * ```
 */
export function amendMapping(mapping: ColumnMapping, patch: MappingPatch): ColumnMapping {
  const columns = [...mapping.columns];
  for (const added of patch.columns ?? []) {
    const at = columns.findIndex((each) =>
      each.heading === added.heading &&
      (each.field === undefined || added.field === undefined || each.field === added.field)
    );
    if (at < 0) columns.push(added);
    else {
      const known = columns[at]!;
      const words = added.words === undefined ? known.words : { ...known.words, ...added.words };
      const refuse = added.refuse === undefined
        ? known.refuse
        : [...new Set([...known.refuse ?? [], ...added.refuse])];
      columns[at] = {
        ...known,
        ...added,
        ...(words === undefined ? {} : { words }),
        ...(refuse === undefined ? {} : { refuse }),
      };
    }
  }
  const finds = [...mapping.finds];
  for (const added of patch.finds ?? []) {
    const at = finds.findIndex((each) => each.word === added.word);
    if (at < 0) finds.push(added);
    else finds[at] = { ...finds[at]!, ...added };
  }
  return {
    ...mapping,
    columns,
    finds,
    constants: { ...mapping.constants, ...patch.constants },
    empty: [...new Set([...mapping.empty, ...patch.empty ?? []])],
    readings: { ...mapping.readings, ...patch.readings },
    ...(patch.ids === undefined ? {} : { ids: patch.ids }),
  };
}
