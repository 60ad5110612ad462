import type { LengthUnit } from "./mapping.ts";
import { UNITS_CM } from "./mapping.ts";

/** A cell in the kit's own form, with what was taken for granted, or the rule that it breaks. Neither holds the value. */
export type Converted =
  | { readonly text: string; readonly notes: readonly string[] }
  | { readonly fault: string };

/** The sentences that numbers and lengths of a mapped log may add to the assumptions. */
export const NUMBER_NOTES = {
  comma: "A decimal comma was read as a decimal point, as the mapping says",
  unit: (unit: string, target: string): string =>
    `A number in ${NAMES[unit as LengthUnit]} was converted to ${NAMES[target as LengthUnit]}`,
  own: "A length with its unit beside it was taken in that unit",
  fraction: "A length with a fraction was read as a number",
  range: (end: "low" | "middle" | "high"): string =>
    `Of a length from one number to another the ${
      end === "low" ? "smaller" : end === "high" ? "greater" : "middle"
    } was taken, as the mapping says`,
} as const;

const NAMES: Readonly<Record<LengthUnit, string>> = {
  mm: "millimetres",
  cm: "centimetres",
  m: "metres",
  in: "inches",
  ft: "feet",
};

const UNIT_WORDS: Readonly<Record<LengthUnit, string>> = {
  mm: "mm|milli(?:metres?|meters?|metros?|m[eè]tres?)|millimeter",
  cm: "cms?|centi(?:metres?|meters?|metros?|m[eè]tres?)|zentimeter|centim[eè]tres?|cent[ií]metros?",
  m: "m|met(?:re|er)s?|meter|m[eè]tres?|metros?",
  in: "in|ins|inch|inches|\"|''|\u2033|\u201d|zoll|pouces?|pulgadas?|duim|tum",
  ft: "ft|foot|feet|'|\u2032|\u2019|fu(?:ß|ss)|pieds?|pies?|voet|fot",
};
const VULGAR: Readonly<Record<string, string>> = {
  "\u00bc": "1/4",
  "\u00bd": "1/2",
  "\u00be": "3/4",
  "\u215b": "1/8",
  "\u215c": "3/8",
  "\u215d": "5/8",
  "\u215e": "7/8",
};
const PLAIN = "[+-]?\\d+(?:[.,]\\d+)?";
const AMOUNT = `(${PLAIN}(?:[ -]\\d+/\\d+)?|\\d+/\\d+)`;
const LENGTHS = (Object.keys(UNIT_WORDS) as LengthUnit[]).map((unit) =>
  [unit, new RegExp(`^${AMOUNT} ?(?:${UNIT_WORDS[unit]})\\.?$`, "i")] as const
);
const FEET_AND_INCHES = new RegExp(
  `^(\\d+) ?(?:${UNIT_WORDS.ft}) ?${AMOUNT} ?(?:${UNIT_WORDS.in})\\.?$`,
  "i",
);

const tidy = (text: string): string =>
  text.trim().replace(/[\s\u00a0\u2007\u202f]+/g, " ").replace(/\u2212/g, "-").replace(
    /[\u00bc-\u00be\u215b-\u215e]/g,
    (sign, at: number, all: string) => `${/\d/.test(all[at - 1] ?? "") ? " " : ""}${VULGAR[sign]}`,
  );

/** A number as the kit writes it: a decimal point, no exponent, at most 12 digits that count. */
export function plainNumber(value: number): string {
  const text = String(Number(value.toPrecision(12)));
  return text.includes("e") ? value.toFixed(12).replace(/\.?0+$/, "") : text;
}

/**
 * Brings a number into the kit's form: a decimal point.
 *
 * Where the mapping says comma, a point in a number is refused, since it could part thousands; where it says point, a
 * comma is left as it is, which the field's own rule then refuses.
 */
export function convertNumber(cell: string, decimal: "point" | "comma" = "point"): Converted {
  const text = tidy(cell);
  if (decimal === "point") return { text, notes: [] };
  if (/^[+-]?\d+,\d+$/.test(text)) return { text: text.replace(",", "."), notes: [NUMBER_NOTES.comma] };
  if (/^[+-]?\d[\d.,]*$/.test(text) && !/^[+-]?\d+$/.test(text)) {
    return { fault: "must be a number with one decimal comma, as the mapping says of this column" };
  }
  return { text, notes: [] };
}

interface Amount {
  readonly value: number;
  readonly comma: boolean;
  readonly fraction: boolean;
}

function amountOf(text: string, decimal: "point" | "comma"): Amount | null {
  const mixed = /^(?:([+-]?\d+)[ -])?(\d+)\/(\d+)$/.exec(text);
  if (mixed !== null) {
    const [whole, over, under] = [Number(mixed[1] ?? 0), Number(mixed[2]), Number(mixed[3])];
    return under === 0 || over >= under || whole < 0
      ? null
      : { value: whole + over / under, comma: false, fraction: true };
  }
  const other = decimal === "comma" ? "." : ",";
  if (text.includes(other) || /[ /]/.test(text)) return null;
  return { value: Number(text.replace(",", ".")), comma: text.includes(","), fraction: false };
}

export interface ConvertLengthOptions {
  /** The unit of a number that stands alone. Default: the target unit. */
  readonly unit?: LengthUnit;
  /** Default "point". */
  readonly decimal?: "point" | "comma";
  /** Which number "4-6 in" stands for. Without it such a length is left as it is written. */
  readonly range?: "low" | "middle" | "high";
}

const RANGE = new RegExp(
  `^(${PLAIN}) ?([^\\d-]*?) ?(?:-|\u2013| to | bis | a | \u00e0 | tot ) ?(${PLAIN}) ?(\\D*)$`,
  "i",
);

/** The two lengths of "4-6 in" and "4in - 6in", or null for anything else. */
export function lengthRange(cell: string): readonly [string, string] | null {
  const match = RANGE.exec(tidy(cell));
  if (match === null || (match[2] !== "" && match[2]!.toLowerCase() !== match[4]!.toLowerCase())) return null;
  return [`${match[1]} ${match[4]}`.trim(), `${match[3]} ${match[4]}`.trim()];
}

/**
 * Brings a length into the field's unit. A number alone is in the column's unit; a unit beside it (`4in`, `4"`, `1' 4"`,
 * `4 1/2"`, `10 cm`) comes first. Factors are exact: 1 inch is 2.54 cm, 1 foot is 30.48 cm (NIST SP 811, B.8).
 *
 * What is no length is left as written, for the field's own rule to judge: depth words pass that way.
 */
export function convertLength(
  cell: string,
  target: "cm" | "mm",
  options: ConvertLengthOptions = {},
): Converted {
  const { unit = target, decimal = "point", range } = options;
  const text = tidy(cell);
  const ends = range === undefined ? null : lengthRange(text);
  if (ends !== null) {
    const [low, high] = ends.map((each) => convertLength(each, target, { unit, decimal })) as [
      Converted,
      Converted,
    ];
    if ("fault" in low) return low;
    if ("fault" in high) return high;
    const [a, b] = [Number(low.text), Number(high.text)];
    if (Number.isFinite(a) && a <= b) {
      const value = range === "low" ? a : range === "high" ? b : (a + b) / 2;
      return { text: plainNumber(value), notes: [...new Set([...low.notes, NUMBER_NOTES.range(range!)])] };
    }
  }
  const notes: string[] = [];
  const done = (amount: Amount | null, from: LengthUnit, own: boolean): Converted => {
    if (amount === null) {
      return { fault: `must be one length with a decimal ${decimal}, as the mapping says of this column` };
    }
    if (amount.comma) notes.push(NUMBER_NOTES.comma);
    if (amount.fraction) notes.push(NUMBER_NOTES.fraction);
    if (own) notes.push(NUMBER_NOTES.own);
    if (from !== target) notes.push(NUMBER_NOTES.unit(from, target));
    else if (!amount.fraction && !own && !amount.comma) return { text, notes };
    return { text: plainNumber(amount.value * (UNITS_CM[from] / UNITS_CM[target])), notes };
  };
  if (new RegExp(`^${AMOUNT}$`).test(text)) return done(amountOf(text, decimal), unit, false);
  for (const [from, pattern] of LENGTHS) {
    const match = pattern.exec(text);
    if (match !== null) return done(amountOf(match[1]!, decimal), from, true);
  }
  const both = FEET_AND_INCHES.exec(text);
  if (both !== null) {
    const inches = amountOf(both[2]!, decimal);
    return done(
      inches === null ? null : { ...inches, value: Number(both[1]) * 12 + inches.value },
      "in",
      true,
    );
  }
  if (/^[+-]?\d/.test(text) && decimal === "comma" && /^[\d.,+-]+$/.test(text)) {
    return { fault: "must be one length with a decimal comma, as the mapping says of this column" };
  }
  return { text: cell.trim(), notes };
}

/** The unit that a heading names ("Depth (in)", "Tiefe cm", "depth_mm"), with the heading without it; null where none. */
export function unitInHeading(heading: string): { readonly unit: LengthUnit; readonly rest: string } | null {
  const text = heading.trim();
  for (const unit of Object.keys(UNIT_WORDS) as LengthUnit[]) {
    const words = UNIT_WORDS[unit];
    const match = new RegExp(
      `^(.*?\\S)?(?:\\s*[(\\[]\\s*(?:in |en )?(${words})\\.?\\s*[)\\]]|[\\s_,/-]+(?:in |en )?(${words})\\.?)$`,
      "i",
    ).exec(text);
    if (match !== null && match[1] !== undefined) return { unit, rest: match[1] };
  }
  return null;
}
