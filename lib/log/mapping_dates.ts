import type { DateOrder } from "./mapping.ts";
import type { Converted } from "./mapping_numbers.ts";
import { isDate } from "./read_cell.ts";

/** The sentences that days and times of a mapped log may add to the assumptions. */
export const DATE_NOTES = {
  order: (order: DateOrder): string =>
    order === "spreadsheet-day"
      ? "A count of days was read as a spreadsheet's day, 1 for the first of January 1900"
      : `A date in numbers was read as ${order.replaceAll("-", ", ")}`,
  named: "A date with the month's name was read as a day",
  century: (century: number): string =>
    `A year of two digits was put into the century that begins with ${century}`,
  cut: "The time of day was left out of the date",
  cutZoned: "The day of a time with a zone was taken as written, in that zone",
  moved: "The day of a time with a zone was taken in the zone that the mapping names",
  halves: "A time of twelve hours was read by its a.m. or p.m.",
} as const;

/** First letters of months, in plain words of several languages. The longest that fits decides. */
const MONTHS: readonly (readonly string[])[] = [
  ["jan", "jän", "ene", "gen", "janv"],
  ["feb", "fév", "fev", "febr", "fevr", "févr"],
  ["mar", "mär", "mrz", "maa", "mrt", "marz", "mars", "maart"],
  ["apr", "avr", "abr"],
  ["may", "mai", "mei", "maj", "mag", "mayo"],
  ["jun", "juin", "giu"],
  ["jul", "juil", "lug"],
  ["aug", "aoû", "aou", "ago"],
  ["sep", "set", "sept"],
  ["oct", "okt", "ott", "out"],
  ["nov"],
  ["dec", "dez", "déc", "dic"],
];

function monthOf(name: string): number | null {
  const text = name.toLowerCase();
  if (text.length < 3) return null;
  let best = 0, month: number | null = null;
  MONTHS.forEach((starts, i) => {
    for (const start of starts) {
      if (text.startsWith(start) && start.length > best) [best, month] = [start.length, i + 1];
    }
  });
  return month;
}

const two = (value: number): string => String(value).padStart(2, "0");
const day = (year: number, month: number, date: number): string | null => {
  const text = `${String(year).padStart(4, "0")}-${two(month)}-${two(date)}`;
  return isDate(text) ? text : null;
};

const ZONE = "Z|UTC|[+-]\\d{2}:?\\d{2}|[+-]\\d{2}";
const CLOCK = new RegExp(
  `^(\\d{1,2})(?:[:h](\\d{2}))?(?:[:m](\\d{2})(?:[.,](\\d{1,9}))?)? ?(am|pm|a\\.m\\.|p\\.m\\.)? ?(${ZONE})?$`,
  "i",
);

interface Clock {
  readonly text: string;
  readonly zone: string;
  readonly halves: boolean;
}

function clockOf(text: string): Clock | null {
  const match = CLOCK.exec(text);
  if (match === null || (match[2] === undefined && match[5] === undefined)) return null;
  let hour = Number(match[1]);
  const half = match[5]?.toLowerCase().startsWith("p") ? "pm" : match[5] === undefined ? null : "am";
  if (half !== null) {
    if (hour < 1 || hour > 12) return null;
    hour = hour % 12 + (half === "pm" ? 12 : 0);
  }
  const minute = Number(match[2] ?? 0), second = Number(match[3] ?? 0);
  if (hour > 23 || minute > 59 || second > 59) return null;
  let zone = (match[6] ?? "").toUpperCase();
  if (zone === "UTC") zone = "Z";
  if (/^[+-]\d{2}$/.test(zone)) zone = `${zone}:00`;
  else if (/^[+-]\d{4}$/.test(zone)) zone = `${zone.slice(0, 3)}:${zone.slice(3)}`;
  const seconds = match[3] === undefined ? "" : `:${match[3]}${match[4] === undefined ? "" : `.${match[4]}`}`;
  return { text: `${two(hour)}:${two(minute)}${seconds}`, zone, halves: half !== null };
}

/** The three numbers of a date that could be in two orders, and what follows it; null for anything else. */
export function numberedDate(cell: string): { readonly parts: readonly [string, string, string] } | null {
  const match = /^(\d{1,2})([./-])(\d{1,2})\2(\d{4}|\d{2})(?:[T ,]|$)/.exec(tidy(cell));
  return match === null ? null : { parts: [match[1]!, match[3]!, match[4]!] };
}

const tidy = (text: string): string => text.trim().replace(/[\s\u00a0\u202f]+/g, " ");

interface Day {
  readonly text: string;
  readonly notes: readonly string[];
}

function dayOf(text: string, options: ConvertDateOptions): Day | { fault: string } | null {
  const { order, century } = options;
  const iso = /^(\d{4})([-/.])(\d{1,2})\2(\d{1,2})$/.exec(text) ?? /^(\d{4})()(\d{2})(\d{2})$/.exec(text);
  if (iso !== null && !(order === "spreadsheet-day")) {
    const made = day(Number(iso[1]), Number(iso[3]), Number(iso[4]));
    const plain = made === text;
    return made === null
      ? { fault: "must be a day of the calendar" }
      : { text: made, notes: plain ? [] : [DATE_NOTES.order("year-month-day")] };
  }
  const notes: string[] = [];
  const fullYear = (year: string): number | null => {
    if (year.length !== 2) return Number(year);
    if (century === undefined) return null;
    notes.push(DATE_NOTES.century(century));
    return century + Number(year);
  };
  const noCentury = {
    fault: "has a year of two digits: the mapping must name its century",
  };
  const numbered = /^(\d{1,2})([./-])(\d{1,2})\2(\d{4}|\d{2})$/.exec(text);
  if (numbered !== null) {
    if (order === undefined) {
      return { fault: "could be day first or month first: the mapping must say which" };
    }
    if (order === "spreadsheet-day" || (order === "year-month-day" && numbered[4]!.length === 4)) {
      return { fault: `must be a date as ${order.replaceAll("-", ", ")}, as the mapping says` };
    }
    const [a, b, c] = [numbered[1]!, numbered[3]!, numbered[4]!];
    notes.push(DATE_NOTES.order(order));
    const year = fullYear(order === "year-month-day" ? a.padStart(2, "0") : c);
    if (year === null) return noCentury;
    const made = order === "day-month-year"
      ? day(year, Number(b), Number(a))
      : order === "month-day-year"
      ? day(year, Number(a), Number(b))
      : day(year, Number(b), Number(c));
    return made === null
      ? { fault: `must be a day of the calendar, read as ${order.replaceAll("-", ", ")}` }
      : { text: made, notes };
  }
  const named =
    /^(\d{1,2})(?:st|nd|rd|th|\.|er|º)?(?: de |[ -]|)(\p{L}{3,12})\.?(?: de |, ?|[ -])(\d{4}|\d{2})$/iu.exec(
      text,
    ) ??
      turned(/^(\p{L}{3,12})\.? (\d{1,2})(?:st|nd|rd|th)?,? (\d{4}|\d{2})$/iu.exec(text));
  if (named !== null) {
    const month = monthOf(named[2]!);
    if (month === null) return null;
    notes.push(DATE_NOTES.named);
    const year = fullYear(named[3]!);
    if (year === null) return noCentury;
    const made = day(year, month, Number(named[1]));
    return made === null ? { fault: "must be a day of the calendar" } : { text: made, notes };
  }
  if (order === "spreadsheet-day" && /^\d{1,6}(?:\.\d+)?$/.test(text)) {
    const serial = Math.floor(Number(text));
    // ECMA-376 part 1, 18.17.4.1 (from memory): the count has a 29 February 1900, which was none: from day 61 on it is one ahead.
    const since = serial >= 61 ? serial - 2 : serial - 1;
    if (serial < 1 || serial === 60) return { fault: "must be a day of a spreadsheet's count" };
    const date = new Date(Date.UTC(1900, 0, 1) + since * 86_400_000);
    return {
      text: date.toISOString().slice(0, 10),
      notes: [DATE_NOTES.order(order), ...(text.includes(".") ? [DATE_NOTES.cut] : [])],
    };
  }
  return null;
}

const turned = (match: RegExpExecArray | null): readonly string[] | null =>
  match === null ? null : [match[0]!, match[2]!, match[1]!, match[3]!];

export interface ConvertDateOptions {
  /** The order of a date in numbers. Without it a date that could be two is refused. */
  readonly order?: DateOrder | undefined;
  /** The century of years with two digits, as 2000. Without it they are refused. */
  readonly century?: number | undefined;
  /** The zone whose day is taken from a time that has one: an offset or a name of the IANA list. Default: its own. */
  readonly zone?: string | undefined;
}

/**
 * Brings a day or a time into the kit's form: YYYY-MM-DD for a "date" field; a date with a time, or a time alone, for a
 * "time" field. A zone that is written is kept in a "time"; one that is not is never added.
 *
 * What is neither is left as written, for the field's own rule to judge.
 *
 * Throws RangeError when the zone is none that Temporal knows.
 */
export function convertDate(
  cell: string,
  kind: "date" | "time",
  options: ConvertDateOptions = {},
): Converted {
  const text = tidy(cell);
  const plain = { text, notes: [] };
  if (text === "" || (kind === "date" && /^\d{4}-\d{2}$/.test(text))) return plain;
  const alone = kind === "time" ? clockOf(text) : null;
  if (alone !== null) {
    return {
      text: alone.text + alone.zone,
      notes: alone.halves ? [DATE_NOTES.halves] : [],
    };
  }
  const whole = dayOf(text, options);
  if (whole !== null) return whole;
  for (let at = text.length - 1; at > 5; at--) {
    const sign = text[at];
    if (sign !== " " && sign !== "T" && sign !== ",") continue;
    const clock = clockOf(text.slice(at + 1).trim());
    if (clock === null) continue;
    const found = dayOf(text.slice(0, at).replace(/[ ,]+$/, ""), options);
    if (found === null) continue;
    if ("fault" in found) return found;
    const notes = [...found.notes, ...(clock.halves ? [DATE_NOTES.halves] : [])];
    if (kind === "time") return { text: `${found.text}T${clock.text}${clock.zone}`, notes };
    if (clock.zone === "") return { text: found.text, notes: [...notes, DATE_NOTES.cut] };
    if (options.zone === undefined) {
      return { text: found.text, notes: [...notes, DATE_NOTES.cut, DATE_NOTES.cutZoned] };
    }
    const moment = Temporal.Instant.from(`${found.text}T${clock.text}${clock.zone}`);
    return {
      text: moment.toZonedDateTimeISO(options.zone).toPlainDate().toString(),
      notes: [...notes, DATE_NOTES.cut, DATE_NOTES.moved],
    };
  }
  return plain;
}
