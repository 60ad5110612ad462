import { type ColumnFacts, EMPTY_MARKS } from "./_column_facts.ts";
import { few, put, say } from "./_draft_notes.ts";
import { type ColumnMapping, lengthUnit, type MappedColumn, mappedField } from "./mapping.ts";
import { convertDate, numberedDate } from "./mapping_dates.ts";
import { convertLength, lengthRange, NUMBER_NOTES, unitInHeading } from "./mapping_numbers.ts";
import { foldWord } from "./mapping_words.ts";
import type { Draft } from "./_proposal.ts";
import { detailMachines, detailWords } from "./_propose_words.ts";
import { asFieldName } from "./table.ts";

/** Works out unit, decimal mark, order of dates and words of one column from its cells, or asks. */
export function detailColumn(
  draft: Draft,
  all: ColumnMapping,
  column: MappedColumn,
  facts: ColumnFacts,
): void {
  const name = column.field!;
  const field = mappedField(draft.table, name);
  const isOwn = asFieldName(column.heading) === name;
  const word = field !== null && (field.kind === "word" || field.kind === "depth");
  const marks = facts.values.filter((value) =>
    EMPTY_MARKS.has(value.toLowerCase()) && (!word || /^(?:n\/a|n\.a\.|k\.a\.|null)$/i.test(value)) &&
    !all.empty.includes(value) && column.words?.[value] === undefined
  );
  if (marks.length > 0 && field?.kind !== "readings" && name !== "readings") {
    put(draft, { empty: marks.filter((mark) => !(draft.patch.empty ?? []).includes(mark)) });
    draft.reasons.push({
      heading: column.heading,
      field: name,
      text: "a mark stands where nothing is written: it is read as an empty cell",
      samples: few(marks),
    });
  }
  const values = facts.values.filter((value) =>
    !marks.includes(value) && !all.empty.map(foldWord).includes(foldWord(value))
  );
  if (name === "iron_distance" || (field !== null && lengthUnit(field) !== null)) {
    detailLength(draft, column, values, name === "iron_distance" ? "cm" : lengthUnit(field!)!, isOwn);
  } else if (field?.kind === "number") detailDecimal(draft, column, values);
  if (field?.kind === "date" || field?.kind === "time") detailDates(draft, all, column, values);
  if (word) detailWords(draft, column, values);
  if (field?.name === "machine" || field?.name === "settings") detailMachines(draft, column, values);
}

/** The decimal mark that numbers of a column show, where they show one. */
function detailDecimal(draft: Draft, column: MappedColumn, values: readonly string[]): void {
  if (column.decimal !== undefined) return;
  const commas = values.filter((value) => /\d,\d/.test(value)),
    points = values.filter((value) => /\d\.\d/.test(value));
  if (commas.length === 0) return;
  const { heading, field } = column;
  if (points.length === 0 && commas.some((value) => !/(?:^|\D)\d{1,3},\d{3}(?:\D|$)/.test(value))) {
    return say(draft, column, { decimal: "comma" }, "its numbers have a decimal comma", few(commas));
  }
  draft.questions.push({
    id: `decimal ${heading}`,
    heading,
    text: `What does a comma in the numbers of ${JSON.stringify(heading)} mean?`,
    samples: few([...commas, ...points]),
    options: [
      { label: "a decimal comma", patch: { columns: [{ heading, field, decimal: "comma" }] } },
      {
        label: "something else: numbers with a comma are set aside",
        patch: { columns: [{ heading, field, decimal: "point" }] },
      },
    ],
  });
}

function detailLength(
  draft: Draft,
  column: MappedColumn,
  values: readonly string[],
  target: "cm" | "mm",
  isOwn: boolean,
): void {
  const numbers = values.filter((value) => /^[+-]?\d/.test(value) || /^[\u00bc-\u00be]/.test(value));
  detailDecimal(draft, column, numbers);
  const ranges = numbers.filter((value) => lengthRange(value) !== null);
  if (column.range === undefined && ranges.length > 0) {
    draft.questions.push({
      id: `range ${column.heading}`,
      heading: column.heading,
      text: `What is the length where ${JSON.stringify(column.heading)} has two numbers?`,
      samples: few(ranges),
      options:
        ([["middle", "the middle of the two"], ["low", "the smaller"], ["high", "the greater"]] as const).map(
          (
            [range, label],
          ) => ({ label, patch: { columns: [{ heading: column.heading, field: column.field, range }] } }),
        ),
    });
  }
  if (column.unit !== undefined || isOwn || numbers.length === 0) return;
  const { heading, field } = column;
  const named = unitInHeading(heading);
  if (named !== null) {
    return say(
      draft,
      column,
      { unit: named.unit },
      `the heading names the unit, ${named.unit}`,
      few(numbers),
    );
  }
  const bare = numbers.filter((value) => {
    const read = convertLength(value, target, {
      decimal: value.includes(",") ? "comma" : "point",
      range: "middle",
    });
    return !("text" in read) || !read.notes.includes(NUMBER_NOTES.own);
  });
  if (bare.length === 0) {
    draft.reasons.push({
      heading,
      field: field ?? null,
      text: "each of its numbers has a unit beside it",
      samples: few(numbers),
    });
    return;
  }
  draft.questions.push({
    id: `unit ${heading}`,
    heading,
    text: `In which unit are the numbers of ${JSON.stringify(heading)}?`,
    samples: few(bare),
    options: (["cm", "in", "mm", "ft"] as const).map((unit) => ({
      label: { cm: "centimetres", in: "inches", mm: "millimetres", ft: "feet" }[unit],
      patch: { columns: [{ heading, field, unit }] },
    })),
  });
}

function detailDates(
  draft: Draft,
  all: ColumnMapping,
  column: MappedColumn,
  values: readonly string[],
): void {
  const { heading, field } = column;
  const other = all.columns.find((each) =>
    each.heading === heading && each.field !== field && each.order !== undefined
  );
  const numbered = values.flatMap((value) => {
    const parts = numberedDate(value)?.parts;
    return parts === undefined ? [] : [{ value, a: Number(parts[0]), b: Number(parts[1]), year: parts[2] }];
  });
  if (column.order === undefined && other?.order !== undefined) {
    say(draft, column, { order: other.order }, "as in the same column elsewhere", few(values));
  } else if (column.order === undefined && numbered.length > 0) {
    const dayFirst = numbered.filter(({ a, b }) => a > 12 && b <= 12);
    const monthFirst = numbered.filter(({ a, b }) => b > 12 && a <= 12);
    const written = numbered.map((each) => each.value);
    const asked = all.columns.find((each) => each.heading === heading)!.field === field;
    if (dayFirst.length > 0 && monthFirst.length === 0) {
      say(
        draft,
        column,
        { order: "day-month-year" },
        "a first number above 12 can only be a day",
        few(dayFirst.map((each) => each.value)),
      );
    } else if (monthFirst.length > 0 && dayFirst.length === 0) {
      say(
        draft,
        column,
        { order: "month-day-year" },
        "a second number above 12 can only be a day",
        few(monthFirst.map((each) => each.value)),
      );
    } else if (asked) {
      draft.questions.push({
        id: `order ${heading}`,
        heading,
        text: dayFirst.length > 0
          ? `Some dates of ${
            JSON.stringify(heading)
          } can only be day first, others only month first. Which is right? The others are set aside.`
          : `Is the day or the month first in ${JSON.stringify(heading)}? Every date in it could be both.`,
        samples: few(written),
        options: [
          { label: "day, month, year", patch: { columns: [{ heading, field, order: "day-month-year" }] } },
          { label: "month, day, year", patch: { columns: [{ heading, field, order: "month-day-year" }] } },
        ],
      });
    }
  } else if (
    column.order === undefined && values.length > 0 &&
    values.every((value) => /^[2-5]\d{4}(?:\.\d+)?$/.test(value))
  ) {
    draft.questions.push({
      id: `order ${heading}`,
      heading,
      text: `Are the numbers of ${
        JSON.stringify(heading)
      } days of a spreadsheet (1 for the first of January 1900)?`,
      samples: few(values),
      options: [
        { label: "yes", patch: { columns: [{ heading, field, order: "spreadsheet-day" }] } },
        { label: "no: leave the column out", patch: { columns: [{ heading, field: null }] } },
      ],
    });
  }
  const twoDigits = values.filter((value) => {
    const without = convertDate(value, "date", { order: "day-month-year" });
    return "fault" in without && without.fault.includes("two digits");
  });
  if (column.century === undefined && twoDigits.length > 0) {
    say(
      draft,
      column,
      { century: 2000 },
      "its years have two digits: they are put after 2000",
      few(twoDigits),
    );
  }
  const clocks = values.filter((value) => /\d{1,2}[:h]\d{2}/.test(value) && /\d{4}|\d[./-]\d/.test(value));
  const meant = (name: string): boolean => all.columns.some((each) => each.field === name);
  const more = field === "date" && clocks.length > 0 && !meant("seen_at")
    ? "seen_at"
    : field === "seen_at" && draft.table === "signals" && !meant("date") &&
        values.some((value) => !/^\d{1,2}[:h]\d{2}/.test(value))
    ? "date"
    : null;
  const universal = values.filter((value) => /\d(?:Z| ?UTC)$/i.test(value));
  if (universal.length > 0 && column.zone === undefined && (field === "date" || more === "date")) {
    draft.reasons.push({
      heading,
      field: "date",
      text:
        'its times are in UTC, and so are the days taken from them: "zone" (+01:00, Europe/Lisbon) takes those of another zone',
      samples: few(universal),
    });
  }
  if (more !== null && draft.table === "signals") {
    const own = [...draft.patch.columns ?? []].reverse().find((each) =>
      each.heading === heading && each.order !== undefined
    );
    const order = column.order ?? own?.order;
    const century = column.century ?? (twoDigits.length > 0 ? 2000 : undefined);
    put(draft, {
      columns: [{
        heading,
        field: more,
        ...(order === undefined ? {} : { order }),
        ...(century === undefined ? {} : { century }),
      }],
    });
    draft.reasons.push({
      heading,
      field: more,
      text: "its cells hold a day and a time of day",
      samples: few(clocks),
    });
  }
}
