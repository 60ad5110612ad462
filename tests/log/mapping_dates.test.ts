import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  convertDate,
  type ConvertDateOptions,
  DATE_NOTES,
  numberedDate,
} from "../../lib/log/mapping_dates.ts";

const text = (cell: string, kind: "date" | "time", options: ConvertDateOptions = {}): string => {
  const made = convertDate(cell, kind, options);
  return "text" in made ? made.text : `fault: ${made.fault}`;
};

const anyDay = fc.integer({ min: -36_000, max: 47_000 }).map((days) =>
  Temporal.PlainDate.from("1999-12-31").add({ days })
);
const two = (value: number): string => String(value).padStart(2, "0");

describe("convertDate() agrees with Temporal", () => {
  test("on every way of writing a day", () => {
    fc.assert(
      fc.property(anyDay, fc.boolean(), fc.constantFrom(".", "/", "-"), (day, padded, sign) => {
        const [d, m] = [day.day, day.month].map((each) => padded ? two(each) : String(each));
        const wanted = day.toString();
        const year = String(day.year);
        expect(text([d, m, year].join(sign), "date", { order: "day-month-year" })).toBe(wanted);
        expect(text([m, d, year].join(sign), "date", { order: "month-day-year" })).toBe(wanted);
        expect(text(wanted, "date")).toBe(wanted);
        expect(text(wanted.replaceAll("-", "/"), "date")).toBe(wanted);
        expect(text(wanted.replaceAll("-", ""), "date")).toBe(wanted);
        for (const names of MONTHS) {
          expect(text(`${d} ${names[day.month - 1]} ${year}`, "date")).toBe(wanted);
        }
        expect(text(`${d}. ${MONTHS[1]![day.month - 1]} ${year}`, "date")).toBe(wanted);
        expect(text(`${MONTHS[0]![day.month - 1]} ${d}, ${year}`, "date")).toBe(wanted);
        expect(text(`${d} de ${MONTHS[3]![day.month - 1]} de ${year}`, "date")).toBe(wanted);
      }),
      { numRuns: 300 },
    );
  });

  test("on the days of a spreadsheet", () => {
    // Day 1 is 1900-01-01, and 60 is a 29 February that was none: ECMA-376 part 1, 18.17.4.1 (from memory).
    const start = Temporal.PlainDate.from("1899-12-30");
    fc.assert(fc.property(fc.integer({ min: 61, max: 73_050 }), (serial) => {
      const wanted = start.add({ days: serial }).toString();
      expect(text(String(serial), "date", { order: "spreadsheet-day" })).toBe(wanted);
    }));
    expect(text("1", "date", { order: "spreadsheet-day" })).toBe("1900-01-01");
    expect(text("59", "date", { order: "spreadsheet-day" })).toBe("1900-02-28");
    expect(text("60", "date", { order: "spreadsheet-day" })).toMatch(/^fault/);
    expect(text("61", "date", { order: "spreadsheet-day" })).toBe("1900-03-01");
  });

  test("on days that are none", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 40 }),
        fc.integer({ min: 1, max: 20 }),
        fc.integer({ min: 1900, max: 2100 }),
        (day, month, year) => {
          let wanted: string | null = null;
          try {
            wanted = Temporal.PlainDate.from({ year, month, day }, { overflow: "reject" }).toString();
          } catch {
            // No such day.
          }
          const made = text(`${day}/${month}/${year}`, "date", { order: "day-month-year" });
          if (wanted === null) expect(made).toMatch(/^fault: must be a day of the calendar/);
          else expect(made).toBe(wanted);
        },
      ),
      { numRuns: 500 },
    );
  });

  test("on the day of a time with a zone, as the mapping asks for it", () => {
    fc.assert(fc.property(
      fc.integer({ min: 0, max: 2_000_000_000 }),
      fc.constantFrom("Z", "+01:00", "-05:00", "+12:45"),
      fc.constantFrom("Pacific/Chatham", "America/St_Johns", "Europe/Lisbon", "+02:00"),
      (seconds, written, zone) => {
        const moment = Temporal.Instant.fromEpochMilliseconds(seconds * 1000);
        const there = moment.toZonedDateTimeISO(written === "Z" ? "UTC" : written);
        const cell = `${there.toPlainDateTime().toString({ smallestUnit: "minute" })}${written}`;
        expect(text(cell, "date")).toBe(there.toPlainDate().toString());
        const minute = Temporal.Instant.from(cell);
        expect(text(cell, "date", { zone })).toBe(minute.toZonedDateTimeISO(zone).toPlainDate().toString());
        expect(text(cell, "time")).toBe(cell);
      },
    ));
  });
});

const MONTHS = [
  "January February March April May June July August September October November December",
  "Januar Februar März April Mai Juni Juli August September Oktober November Dezember",
  "janvier février mars avril mai juin juillet août septembre octobre novembre décembre",
  "enero febrero marzo abril mayo junio julio agosto septiembre octubre noviembre diciembre",
  "januari februari maart april mei juni juli augustus september oktober november december",
  "Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec",
].map((names) => names.split(" "));

describe("convertDate() never guesses", () => {
  test("between day first and month first", () => {
    expect(text("3/4/2025", "date")).toBe(
      "fault: could be day first or month first: the mapping must say which",
    );
    expect(text("13/4/2025", "date")).toMatch(/^fault: could be/);
    expect(text("13/4/2025", "date", { order: "month-day-year" })).toMatch(
      /^fault: must be a day of the calendar/,
    );
  });
  test("the century of two digits", () => {
    expect(text("3/4/25", "date", { order: "day-month-year" })).toMatch(/^fault: has a year of two digits/);
    expect(text("3/4/25", "date", { order: "day-month-year", century: 2000 })).toBe("2025-04-03");
    expect(text("8-Mar-25", "date")).toMatch(/^fault: has a year of two digits/);
    expect(text("8-Mar-99", "date", { century: 1900 })).toBe("1999-03-08");
    expect(text("25/4/3", "date", { order: "year-month-day", century: 2000 })).not.toMatch(/^fault: could/);
  });
  test("a zone that is not written", () => {
    expect(text("2025-03-08 22:15", "time")).toBe("2025-03-08T22:15");
    expect(text("2025-03-08T22:15Z", "time")).toBe("2025-03-08T22:15Z");
    expect(text("2025-03-08 22:15 +0100", "time")).toBe("2025-03-08T22:15+01:00");
    expect(text("2025-03-08", "time")).toBe("2025-03-08");
    expect(text("22:15", "time")).toBe("22:15");
  });
  test("what is no date: that is left for the field's own rule", () => {
    for (const cell of ["", "last Sunday", "45724", "2025-03", "12 Brumaire 3", "8.3"]) {
      expect(text(cell, "date")).toBe(cell);
    }
  });
});

test("convertDate() reads clocks of twelve hours, and tells what it took for granted", () => {
  expect(text("3/8/2025 12:05 AM", "time", { order: "month-day-year" })).toBe("2025-03-08T00:05");
  expect(text("3/8/2025 12:05 pm", "time", { order: "month-day-year" })).toBe("2025-03-08T12:05");
  expect(text("9h30", "time")).toBe("09:30");
  expect(text("13:05 pm", "time")).toBe("13:05 pm");
  const made = convertDate("3/8/2025 2:05 PM", "date", { order: "month-day-year" });
  expect(made).toEqual({
    text: "2025-03-08",
    notes: [DATE_NOTES.order("month-day-year"), DATE_NOTES.halves, DATE_NOTES.cut],
  });
  expect(convertDate("2025-03-08", "date")).toEqual({ text: "2025-03-08", notes: [] });
});

test("numberedDate() gives the parts of a date that could be two", () => {
  expect(numberedDate(" 3/4/2025 10:00")?.parts).toEqual(["3", "4", "2025"]);
  expect(numberedDate("2025-04-03")).toBe(null);
  expect(numberedDate("3/4-2025")).toBe(null);
});

test("convertDate() gives the same in three time zones", async () => {
  const cells = [
    "3/4/2025",
    "2025-03-30T02:30",
    "2025-03-08T23:30Z",
    "30.03.2025 02:30",
    "8 Mar 2025 00:10",
    "45724",
  ];
  const script = `
    import { convertDate } from "${new URL("../../lib/log/mapping_dates.ts", import.meta.url)}";
    console.log(JSON.stringify([new Date(2025, 0, 1).getTimezoneOffset(), ...${
    JSON.stringify(cells)
  }.flatMap((cell) =>
      ["date", "time"].flatMap((kind) => ["day-month-year", "spreadsheet-day"].map((order) =>
        convertDate(cell, kind, { order }))))]));`;
  const seen: string[] = [], offsets = new Set<number>();
  for (const TZ of ["UTC", "Pacific/Chatham", "America/St_Johns"]) {
    const { stdout } = await new Deno.Command(Deno.execPath(), {
      args: ["eval", "--no-lock", script],
      env: { TZ },
      stdout: "piped",
    }).output();
    const [offset, ...made] = JSON.parse(new TextDecoder().decode(stdout));
    offsets.add(offset);
    seen.push(JSON.stringify(made));
  }
  expect(offsets.size).toBe(3);
  expect(new Set(seen).size).toBe(1);
  expect(seen[0]).toContain('"2025-03-30T02:30"');
  expect(seen[0]).toContain('"2025-03-08"');
});
