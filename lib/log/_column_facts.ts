import { REJECTED_COLUMNS } from "./apply_schema.ts";
import { restoreCell } from "./csv_text.ts";
import { type Field } from "./fields.ts";
import { lengthUnit } from "./mapping.ts";
import { convertDate } from "./mapping_dates.ts";
import { convertLength } from "./mapping_numbers.ts";
import { wordMeant } from "./mapping_words.ts";
import { isDate } from "./read_cell.ts";
import { asFieldName, type Table } from "./table.ts";

/** What stands in one column of a foreign log. */
export interface ColumnFacts {
  readonly heading: string;
  readonly at: number;
  /** Distinct texts without space at their ends, the most frequent first; of equally frequent ones the first met. */
  readonly values: readonly string[];
  readonly filled: number;
  /** Up to three values, as they are met. */
  readonly samples: readonly string[];
}

/** Marks that people put into a cell to say that nothing is written there. */
export const EMPTY_MARKS = new Set([
  "-",
  "--",
  "\u2013",
  "\u2014",
  "n/a",
  "na",
  "n.a.",
  "k.a.",
  "nil",
  "null",
  "./.",
]);

/** Reads the columns of a table: every row, whatever its faults. */
export function columnFacts(table: Table): readonly ColumnFacts[] {
  const own = table.headings.map(asFieldName);
  const guarded = own.includes(REJECTED_COLUMNS[2]);
  const used = table.headings.flatMap((heading, at) =>
    heading === "" || (REJECTED_COLUMNS as readonly string[]).includes(own[at]!) ? [] : [at]
  );
  const all = used.map(() => ({ counts: new Map<string, number>(), filled: 0 }));
  for (let row = 0; row < table.rowCount; row++) {
    for (let i = 0; i < used.length; i++) {
      const cell = table.cell(row, used[i]!);
      const text = (guarded ? restoreCell(cell) : cell).trim();
      if (text === "") continue;
      const facts = all[i]!;
      facts.filled++;
      facts.counts.set(text, (facts.counts.get(text) ?? 0) + 1);
    }
  }
  return used.map((at, i) => {
    const heading = table.headings[at]!;
    const { counts, filled } = all[i]!;
    const met = [...counts.keys()];
    const values = met.map((value, k) => [value, k] as const)
      .sort(([a, k], [b, l]) => counts.get(b)! - counts.get(a)! || k - l).map(([value]) => value);
    return { heading, at, values, filled, samples: met.slice(0, 3) };
  });
}

const NUMBER = /^[+-]?\d+(?:[.,]\d+)?$/;
const READINGS = /^[~+-]?(?:\d|x\b|\.)[\d\s.,;/|x*~?+\u2010-\u2015-]*(?:ish|to[\d\s.]+)?$/i;

const looksLikeDate = (text: string): boolean =>
  (["day-month-year", "month-day-year"] as const).some((order) => {
    const made = convertDate(text, "date", { order, century: 2000 });
    return "text" in made && made.text.length === 10 && isDate(made.text);
  });

const looksLikeTime = (text: string): boolean => {
  const made = convertDate(text, "time", { order: "day-month-year", century: 2000 });
  return "text" in made && /^(?:.{10}T)?\d{2}:\d{2}/.test(made.text);
};

const looksLikeLength = (text: string): boolean =>
  (["point", "comma"] as const).some((decimal) => {
    const made = convertLength(text, "cm", { decimal, range: "low" });
    return "text" in made && NUMBER.test(made.text);
  });

const share = (values: readonly string[], test: (value: string) => boolean): number => {
  const some = values.slice(0, 200).filter((value) => !EMPTY_MARKS.has(value.toLowerCase()));
  return some.length === 0 ? 1 : some.filter(test).length / some.length;
};

/** Whether the numbers of a column go up by one from row to row, more or less: names, not readings. */
const countsUp = (values: readonly string[]): boolean => {
  const numbers = values.map(Number).sort((a, b) => a - b);
  return numbers.length > 2 && numbers.at(-1)! - numbers[0]! <= numbers.length * 1.5;
};

/** How well the cells of a column could be those of a field, from 0 to 1. An empty column fits everything. */
export function fitOf(facts: ColumnFacts, name: string, field: Field | null): number {
  const { values, filled } = facts;
  if (filled === 0) return 1;
  if (name === "readings" || field?.kind === "readings") return share(values, (text) => READINGS.test(text));
  if (name === "iron_distance") return share(values, looksLikeLength);
  if (field === null) return 0;
  const numeric = share(values, (text) => NUMBER.test(text));
  if (lengthUnit(field) !== null) {
    return share(values, (text) => looksLikeLength(text) || (field.kind === "depth" && !/\d/.test(text)));
  }
  switch (field.kind) {
    case "number":
      return numeric;
    case "integer":
      return share(values, (text) => /^\d+$/.test(text));
    case "date":
      return share(
        values,
        (text) => looksLikeDate(text) || /^\d{4}-\d{2}$/.test(text) || /^[2-5]\d{4}$/.test(text),
      );
    case "time":
      return share(values, (text) => looksLikeDate(text) || looksLikeTime(text));
    case "word":
      if (values.length > 40) return 0;
      return 0.5 +
        0.5 *
          share(
            values,
            (text) =>
              wordMeant(field.name, text, field.words) !== null ||
              metalByMagnet(facts.heading, text) !== null,
          );
    case "open-word":
      return 1 - 0.5 * numeric;
    case "id": {
      if (name !== "signal_id" && name !== "trial_id" && name !== "find_id") return 1;
      // A slip or two in a column of names are faults of rows, not of the column.
      if (values.length < 0.8 * filled) return 0;
      // Two numbers in a cell are readings, and so may be numbers that do not count up.
      if (share(values, (text) => /^[\d\s.,;/|x-]*\d[\s,;/|x-]+\d/i.test(text)) > 0.3) return 0;
      return numeric < 1 || countsUp(values) ? 1 : 0.5;
    }
    default:
      return name === "notes" ? 1 : 1 - 0.6 * numeric;
  }
}

/** What yes and no under a heading about a magnet say of the metal. */
export function metalByMagnet(heading: string, written: string): string | null {
  if (!/magnet|aimant|\biman\b|im\u00e1n/i.test(heading)) return null;
  const word = wordMeant("blind", written, ["yes", "no"]);
  return word === null ? null : word === "yes" ? "ferrous" : "non-ferrous";
}
