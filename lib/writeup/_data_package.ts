import { createHash } from "node:crypto";
import { tableSchema, type TableSchemaOptions } from "../log/mod.ts";
import { type Column, sheet } from "./_published_columns.ts";

/** What a data package says of itself. */
export interface DataPackageHead {
  readonly title: string;
  readonly licence: { readonly name: string; readonly title: string; readonly path: string };
  readonly sources: readonly { readonly title: string; readonly path?: string }[];
  /** The day of publishing, YYYY-MM-DD; undefined where no clock enters. */
  readonly date: string | undefined;
}

/** A table of a data package, before it is text. */
export interface PackagedTable<Row> {
  readonly columns: readonly Column<Row>[];
  readonly rows: readonly Row[];
  readonly description: string;
  readonly keys: TableSchemaOptions;
}

const json = (value: unknown): string => JSON.stringify(value, null, 2) + "\n";

/** Takes up the files of a data folder and describes them by the Data Package standard 2.0. */
export class DataPackage {
  readonly #files = new Map<string, string>();
  readonly #resources: Record<string, unknown>[] = [];

  add(name: string, text: string, description: string, more: Readonly<Record<string, unknown>>): void {
    this.#files.set(name, text);
    const bytes = new TextEncoder().encode(text);
    this.#resources.push({
      name: name.replace(/\.[a-z]+$/, ""),
      path: name,
      description,
      encoding: "utf-8",
      bytes: bytes.length,
      hash: `sha256:${createHash("sha256").update(bytes).digest("hex")}`,
      ...more,
    });
  }

  addTable<Row>(name: string, { columns, rows, description, keys }: PackagedTable<Row>): void {
    this.add(name, sheet(columns, rows), description, {
      type: "table",
      format: "csv",
      mediatype: "text/csv",
      dialect: { delimiter: ",", lineTerminator: "\n", quoteChar: '"', doubleQuote: true, header: true },
      schema: tableSchema(columns.map(([field]) => field), { published: true, ...keys }),
    });
  }

  addJson(name: string, value: unknown, description: string): void {
    this.add(name, json(value), description, { format: "json", mediatype: "application/json" });
  }

  /** All files with their descriptor, in the order of names. */
  files(head: DataPackageHead): { readonly name: string; readonly text: string }[] {
    const { title, licence, sources, date } = head;
    const descriptor = json({
      $schema: "https://datapackage.org/profiles/2.0/datapackage.json",
      name: "overiron-data",
      title,
      description:
        "Sites are letters, dates are months, ids are numbers of this package. An apostrophe before a cell that begins with = + - @ or another apostrophe guards it from being run by a spreadsheet: take it away to have the value as written.",
      ...(date === undefined ? {} : { created: `${date}T00:00:00Z` }),
      licenses: [licence],
      sources,
      resources: this.#resources,
    });
    return [...this.#files, ["datapackage.json", descriptor] as const]
      .sort(([a], [b]) => a < b ? -1 : 1).map(([name, text]) => ({ name, text }));
  }
}
