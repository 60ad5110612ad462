import { z } from "zod";
import type { Field } from "./fields.ts";
import { nearestWord } from "./nearest_word.ts";

/** A cell that breaks its field's rule. The rule never repeats the value: rules may be published, values may not. */
export class CellFault {
  readonly rule: string;
  /** The word that was probably meant. */
  readonly nearest: string | null;
  constructor(rule: string, nearest: string | null = null) {
    this.rule = rule;
    this.nearest = nearest;
  }
}

const NUMBER = /^[+-]?\d+(?:\.\d+)?$/;
const INTEGER = /^[+-]?\d+$/;
const DATE = /^(\d{4})-(\d{2})(?:-(\d{2}))?$/;
const CLOCK = /^([01]\d|2[0-3]):[0-5]\d(?::[0-5]\d(?:\.\d{1,9})?)?(?:Z|[+-](?:0\d|1[0-4]):?[0-5]\d)?$/;
const LONGEST = { id: 100, name: 200, "open-word": 200, text: 20_000, readings: 2_000 } as const;

/** Tells whether a text is a day (YYYY-MM-DD) or a month (YYYY-MM) of the Gregorian calendar. */
export function isDate(text: string): boolean {
  const match = DATE.exec(text);
  if (match === null) return false;
  const year = Number(match[1]), month = Number(match[2]);
  if (year < 1 || month < 1 || month > 12) return false;
  if (match[3] === undefined) return true;
  const leap = (year % 4 === 0 && year % 100 !== 0) || year % 400 === 0;
  const days = month === 2 ? (leap ? 29 : 28) : [4, 6, 9, 11].includes(month) ? 30 : 31;
  const day = Number(match[3]);
  return day >= 1 && day <= days;
}

const isTime = (text: string): boolean => {
  const split = /^(\S+)[T ](\S+)$/.exec(text);
  if (split !== null) return split[1]!.length === 10 && isDate(split[1]!) && CLOCK.test(split[2]!);
  return CLOCK.test(text) || (text.length === 10 && isDate(text)) || (text.length === 7 && isDate(text));
};

/** A word as the lists have it: lower case, hyphens where the log has spaces or underscores. */
export const asWord = (text: string): string => text.toLowerCase().replace(/[\s_]+/g, "-");

const outside = (field: Field, value: number): string | null =>
  field.low !== null && value < field.low
    ? `must be ${field.low} or more`
    : field.high !== null && value > field.high
    ? `must be ${field.high} or less`
    : null;

const numberOf = (field: Field, text: string): number | CellFault => {
  if (!(field.kind === "integer" ? INTEGER : NUMBER).test(text)) {
    return new CellFault(
      field.kind === "integer"
        ? "must be a whole number"
        : "must be a number with a decimal point and no unit",
    );
  }
  const value = Number(text) + 0;
  if (!Number.isFinite(value) || Math.abs(value) > 1e15) {
    return new CellFault("must be a number of ordinary size");
  }
  const rule = outside(field, value);
  return rule === null ? value : new CellFault(rule);
};

/**
 * Reads one cell by its field's statement: the value, null where nothing is written, or a `CellFault` with the rule.
 *
 * Space around the text is dropped, words are compared in lower case with hyphens for spaces. A readings cell is only
 * checked for length here and stays text: `readReadings` interprets it, since that takes the machine's scale.
 *
 * @example
 * ```ts
 * import { CellFault, fieldOf, readCell } from "overiron";
 * if (readCell(fieldOf("find", "metal"), " Ferrous ") !== "ferrous") throw new Error("wrong");
 * if (readCell(fieldOf("find", "depth_cm"), "") !== null) throw new Error("wrong");
 * if (!(readCell(fieldOf("find", "depth_cm"), "12cm") instanceof CellFault)) throw new Error("wrong");
 * ```
 */
export function readCell(field: Field, cell: string): string | number | null | CellFault {
  const text = cell.trim();
  if (text === "") return null;
  switch (field.kind) {
    case "word": {
      if (field.words.includes(text)) return text;
      const word = asWord(text);
      return field.words.includes(word)
        ? word
        : new CellFault(`must be one of ${field.words.join(", ")}`, nearestWord(word, field.words));
    }
    case "number":
    case "integer":
      return numberOf(field, text);
    case "depth": {
      const word = asWord(text);
      if (field.words.includes(word)) return word;
      const value = numberOf(field, text);
      return value instanceof CellFault && !NUMBER.test(text)
        ? new CellFault(
          `must be centimetres or one of ${field.words.join(", ")}`,
          nearestWord(word, field.words),
        )
        : value;
    }
    case "date":
      return isDate(text) ? text : new CellFault("must be a date as YYYY-MM-DD");
    case "time":
      return isTime(text) ? text : new CellFault("must be a time as YYYY-MM-DDTHH:MM or HH:MM");
    case "open-word": {
      const word = asWord(text);
      if (field.words.includes(word)) return word;
      return text.length > LONGEST[field.kind]
        ? new CellFault(`must be ${LONGEST[field.kind]} characters or fewer`)
        : text;
    }
    default:
      return text.length > LONGEST[field.kind]
        ? new CellFault(`must be ${LONGEST[field.kind]} characters or fewer`)
        : text;
  }
}

/**
 * Gives the zod schema of a field's cell: from the text in a file to its value. It states the same rule as `readCell`,
 * which is the quick way to apply it; a test holds them equal.
 *
 * @example
 * ```ts
 * import { cellSchema, fieldOf } from "overiron";
 * if (cellSchema(fieldOf("signal", "dug")).parse("Yes") !== "yes") throw new Error("wrong");
 * ```
 */
export function cellSchema(field: Field): z.ZodType<string | number | null, string> {
  const trimmed = z.string().trim();
  const words = [...field.words];
  const toWord = trimmed.transform(asWord);
  const limits = (schema: z.ZodNumber): z.ZodNumber => {
    let out = schema.min(-1e15).max(1e15);
    if (field.low !== null) out = out.min(field.low);
    if (field.high !== null) out = out.max(field.high);
    return out;
  };
  const numbers = (pattern: RegExp) =>
    trimmed.regex(pattern).transform((text) => Number(text) + 0).pipe(limits(z.number()));
  const filled = (): z.ZodType<string | number, string> => {
    switch (field.kind) {
      case "word":
        return toWord.pipe(z.enum(words));
      case "number":
        return numbers(NUMBER);
      case "integer":
        return numbers(INTEGER);
      case "depth":
        return z.union([toWord.pipe(z.enum(words)), numbers(NUMBER)]);
      case "date":
        return trimmed.refine(isDate);
      case "time":
        return trimmed.refine(isTime);
      case "open-word":
        return z.union([toWord.pipe(z.enum(words)), trimmed.min(1).max(LONGEST["open-word"])]);
      default:
        return trimmed.min(1).max(LONGEST[field.kind]);
    }
  };
  return z.union([trimmed.pipe(z.literal("")).transform(() => null), filled()]);
}

/** The zod schema of a whole row: an object with the text of each named field's cell. */
export function rowSchema(
  fields: readonly Field[],
): z.ZodType<Record<string, string | number | null>, Record<string, string>> {
  return z.object(Object.fromEntries(fields.map((field) => [field.name, cellSchema(field)])));
}
