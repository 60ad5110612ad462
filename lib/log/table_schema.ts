import type { Field } from "./fields.ts";

export interface TableSchemaOptions {
  /** Fields as a write-up holds them: dates are months, preferred words are the only ones. Default false. */
  readonly published?: boolean;
  /** The field that differs from row to row. */
  readonly primaryKey?: string;
  readonly foreignKeys?: readonly {
    readonly field: string;
    readonly resource: string;
    readonly reference: string;
  }[];
}

/** A Table Schema (Data Package 2.0), ready to be written as JSON. */
export interface TableSchema {
  readonly fields: readonly Readonly<Record<string, unknown>>[];
  readonly missingValues: readonly string[];
  readonly primaryKey?: readonly string[];
  readonly foreignKeys?: readonly unknown[];
}

function typeOf(field: Field, published: boolean): string {
  switch (field.kind) {
    case "number":
    case "integer":
      return field.kind;
    case "date":
      return published ? "yearmonth" : "date";
    case "time":
      return published ? "yearmonth" : "string";
    default:
      return "string";
  }
}

/**
 * Gives the Table Schema of fields, by the Data Package standard 2.0 (datapackage.org): type, limits, words and
 * meaning of each, with the unit and when it is known as properties of our own.
 *
 * @example
 * ```ts
 * import { FIELDS, tableSchema } from "overiron";
 * const schema = tableSchema(FIELDS.find);
 * if (schema.fields.find((field) => field.name === "depth_cm")?.type !== "number") throw new Error("wrong");
 * ```
 */
export function tableSchema(fields: readonly Field[], options: TableSchemaOptions = {}): TableSchema {
  const { published = false, primaryKey, foreignKeys = [] } = options;
  return {
    fields: fields.map((field) => {
      const constraints = {
        ...(field.name === primaryKey ? { required: true, unique: true } : {}),
        ...((field.kind === "word" || (published && field.kind === "open-word"))
          ? { enum: field.words }
          : {}),
        ...((field.kind === "number" || field.kind === "integer") && field.low !== null
          ? { minimum: field.low }
          : {}),
        ...((field.kind === "number" || field.kind === "integer") && field.high !== null
          ? { maximum: field.high }
          : {}),
      };
      return {
        name: field.name,
        type: typeOf(field, published),
        description: field.meaning,
        ...(Object.keys(constraints).length > 0 ? { constraints } : {}),
        ...(field.unit === null ? {} : { unit: field.unit }),
        whenKnown: field.known,
      };
    }),
    missingValues: [""],
    ...(primaryKey === undefined ? {} : { primaryKey: [primaryKey] }),
    ...(foreignKeys.length === 0 ? {} : {
      foreignKeys: foreignKeys.map((key) => ({
        fields: [key.field],
        reference: { resource: key.resource, fields: [key.reference] },
      })),
    }),
  };
}
