import type { Field } from "./fields.ts";
import { FileFault } from "./file_fault.ts";
import {
  type ColumnMapping,
  isReadings,
  MAPPED_FIELDS,
  type MappedColumn,
  mappedField,
  type MappedTableName,
} from "./mapping.ts";
import { nearestWord } from "./nearest_word.ts";
import { asFieldName, type Table } from "./table.ts";

/** One column of a log and the field that it means. */
export interface Entry {
  readonly column: MappedColumn;
  readonly field: Field | null;
  readonly at: number;
}

/** What each column of the table means: what the mapping says, and what headings with a field's own name say. */
export function entriesOf(table: Table, mapping: ColumnMapping, name: MappedTableName): Entry[] {
  const entries: Entry[] = [];
  const isField = (field: string): boolean =>
    Object.hasOwn(MAPPED_FIELDS, field) || mappedField(name, field) !== null;
  const meant = new Set<string>();
  for (const column of mapping.columns) {
    const at = table.headings.indexOf(column.heading);
    if (at < 0) {
      const near = nearestWord(column.heading, table.headings);
      throw new FileFault(
        `Cannot use the mapping on ${table.file}: it names the heading ${
          JSON.stringify(column.heading)
        }, got none of it${near === null ? "" : `; nearest is ${JSON.stringify(near)}`}`,
        { file: table.file, line: table.place(-1, 0).line, column: column.heading },
      );
    }
    const field = column.field === undefined ? asFieldName(column.heading) : column.field;
    if (field === null || !isField(field)) continue;
    if (isReadings(field)) {
      meant.add(field);
      if (field === "readings") meant.add("readings_right").add("readings_left");
    } else meant.add(field === "iron_distance" ? "iron_evidence" : field);
    entries.push({ column: { ...column, field }, field: mappedField(name, field), at });
  }
  const named = new Set(mapping.columns.map((each) => each.heading));
  table.headings.forEach((heading, at) => {
    const field = asFieldName(heading);
    if (heading === "" || named.has(heading) || meant.has(field) || mappedField(name, field) === null) return;
    meant.add(field);
    entries.push({ column: { heading, field }, field: mappedField(name, field), at });
  });
  return entries;
}
