import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { mapTable } from "../../lib/log/map_table.ts";
import { type ColumnMapping, parseMapping } from "../../lib/log/mapping.ts";
import { mappingText } from "../../lib/log/mapping.ts";
import { matchColumns } from "../../lib/log/match_columns.ts";
import { amendMapping } from "../../lib/log/amend_mapping.ts";
import { proposeMapping, type ProposeMappingOptions } from "../../lib/log/propose_mapping.ts";
import { readTable } from "../../lib/log/read_table.ts";
import { file, machines } from "./_helpers.ts";

const table = (text: string) => readTable(file(text));
const propose = async (text: string, options: ProposeMappingOptions = {}) => {
  const { mapping, questions, reasons } = proposeMapping(await table(text), null, options);
  return {
    mapping,
    reasons,
    questions,
    ids: questions.map((each) => each.id),
    of: (heading: string) => mapping.columns.find((each) => each.heading === heading),
  };
};
const base = "Nr,Place,L to R,R to L";

describe("proposeMapping() asks what two answers fit", () => {
  // Two columns of numbers of one name, each way, could once only be answered with a field that one column may have.
  test("columns of an unknown name that differ in their direction, as a pair; a place among columns left out", async () => {
    const log = "Nr,Corner,Kappa R,Kappa L\n1,oak,300,310\n2,oak,301,305\n3,ash,90,95\n4,ash,90,99\n";
    const { questions } = await propose(log);
    expect(questions.map((each) => [each.id, each.options.map(({ patch }) => patch.columns)])).toEqual([
      ["constant site", [[{ heading: "Corner", field: "site" }]]],
      ["readings", [
        [{ heading: "Kappa R", field: "readings_right" }, { heading: "Kappa L", field: "readings_left" }],
        [{ heading: "Kappa R", field: "readings" }],
        [{ heading: "Kappa L", field: "readings" }],
      ]],
    ]);
    const given = amendMapping(
      amendMapping(parseMapping('{"schema":"overiron-columns/1"}'), questions[0]!.options[0]!.patch),
      questions[1]!.options[0]!.patch,
    );
    const answered = await propose(log, { given });
    expect(answered.ids).toEqual([]);
    expect(["Corner", "Kappa R", "Kappa L"].map((heading) => answered.of(heading)?.field)).toEqual([
      "site",
      "readings_right",
      "readings_left",
    ]);
  });

  test("a date that could be day first or month first; one that could not is read", async () => {
    const both = await propose(`${base},Date\n1,a,1,2,3/4/2025\n2,a,1,2,5/4/2025\n`);
    expect(both.ids).toEqual(["order Date"]);
    expect(both.questions[0]!.options.map((each) => each.patch.columns![0]!.order)).toEqual([
      "day-month-year",
      "month-day-year",
    ]);
    const one = await propose(`${base},Date\n1,a,1,2,3/4/2025\n2,a,1,2,25/4/2025\n`);
    expect([one.ids, one.of("Date")?.order]).toEqual([[], "day-month-year"]);
    const other = await propose(`${base},Date\n1,a,1,2,3/4/2025\n2,a,1,2,4/25/2025\n`);
    expect([other.ids, other.of("Date")?.order]).toEqual([[], "month-day-year"]);
    const mixed = await propose(`${base},Date\n1,a,1,2,13/4/2025\n2,a,1,2,4/25/2025\n`);
    expect(mixed.ids).toEqual(["order Date"]);
    const iso = await propose(`${base},Date\n1,a,1,2,2025-04-03\n`);
    expect([iso.ids, iso.of("Date")]).toEqual([[], { heading: "Date", field: "date" }]);
  });

  test("a length without a unit; a heading or a cell with one is read", async () => {
    expect((await propose(`${base},Find depth\n1,a,1,2,4\n`)).ids).toEqual(["unit Find depth"]);
    expect((await propose(`${base},Find depth (in)\n1,a,1,2,4\n`)).of("Find depth (in)")?.unit).toBe("in");
    const own = await propose(`${base},Find depth\n1,a,1,2,4in\n2,a,1,2,10 cm\n`);
    expect([own.ids, own.of("Find depth")?.unit]).toEqual([[], undefined]);
    const range = await propose(`${base},Find depth (in)\n1,a,1,2,4-6\n`);
    expect([range.ids, range.of("Find depth (in)")?.unit]).toEqual([["range Find depth (in)"], "in"]);
    expect((await propose(`${base},depth_cm\n1,a,1,2,4\n`)).ids).toEqual([]);
  });

  test("a comma that could part thousands; one that could not is a decimal comma", async () => {
    const asked = await propose(`${base},balance\n1,a,1,2,"1,234"\n`);
    expect(asked.ids).toEqual(["decimal balance"]);
    const read = await propose(`${base},balance\n1,a,1,2,"1,5"\n`);
    expect([read.ids, read.of("balance")?.decimal]).toEqual([[], "comma"]);
  });

  test("signs of the readings, once a log", async () => {
    const { ids } = await propose(`${base}\n1,a,38-42,38 x 3\n2,a,-,"38,5"\n3,a,no tone,40\n`);
    expect(ids).toEqual([
      "readings.comma",
      "readings.hyphen",
      "readings.lone_hyphen",
      "readings.spaced_x",
      "readings.cell no tone",
    ]);
    const plain = await propose(`${base}\n1,a,38 40 41,x 38\n2,a,40ish,38x3\n`);
    expect(plain.ids).toEqual([]);
    const said = await propose(`${base}\n1,a,"38,40,41","38,40"\n`);
    expect([said.ids, said.mapping.readings.comma]).toEqual([[], "passes"]);
    const decimal = await propose(`${base}\n1,a,"38,5 40,5","38,5"\n`);
    expect([decimal.ids, decimal.mapping.readings.comma]).toEqual([[], "decimal"]);
  });

  test("a display with two numbers", async () => {
    expect((await propose(`${base}\n1,a,38 12,40 13\n2,a,38 11,41 12\n`)).ids).toEqual([
      "readings.two_numbers",
    ]);
    expect((await propose(`${base}\n1,a,38 12,40 13\n2,a,38 11 40,41 12\n`)).ids).toEqual([]);
  });

  test("one column for both directions, and empty passes", async () => {
    expect((await propose("Nr,Place,Target ID\n1,a,38 40\n2,b,41 42 43\n")).ids).toEqual([
      "readings.direction",
    ]);
    expect((await propose("Nr,Place,r1,r2,l1,l2\n1,a,38,,40,41\n2,a,38,39,40,41\n")).ids).toEqual([
      "readings.empty_pass",
    ]);
  });

  test("words that are no plain words, each by itself", async () => {
    const { ids, of, questions } = await propose(`${base},Dug\n1,a,1,2,Y\n2,a,1,2,nope\n3,a,1,2,perhaps\n`);
    expect(ids).toEqual(["word Dug: nope", "word Dug: perhaps"]);
    expect(of("Dug")).toEqual({ heading: "Dug", field: "dug", words: { Y: "yes" } });
    expect(questions[0]!.options.map((each) => each.label)).toEqual([
      "no",
      "yes",
      "stopped",
      "nothing: read it as an empty cell",
      "a slip: rows with it are set aside",
    ]);
  });

  test("which of two columns holds a field", async () => {
    const { questions } = await propose(`${base},Notes,Comments\n1,a,1,2,x,y\n`.replace("Notes", "Remarks"));
    expect(questions.map((each) => [each.id, each.options.map((option) => option.label)])).toEqual([
      ["field notes", ['"Remarks"', '"Comments"']],
    ]);
  });

  test("a place or a machine that no column names", async () => {
    const log = await table("Nr,L to R,R to L\n1,1,2\n");
    const { questions } = proposeMapping(log, machines);
    expect(
      questions.map((each) => [each.id, each.constant ?? null, each.options.map((option) => option.label)]),
    ).toEqual([
      ["constant site", "site", []],
      ["constant machine", null, ["Machine A", "Machine B", "settings set a-quiet", "settings set b-open"]],
    ]);
  });
});

describe("proposeMapping() takes for granted only what it says", () => {
  test("each column has a reason, and those left out are named", async () => {
    const { mapping, reasons } = await propose(`${base},Weather,Empty\n1,a,1,2,sunny,\n`);
    for (const { heading } of mapping.columns) {
      expect(reasons.some((each) => each.heading === heading)).toBe(true);
    }
    expect(reasons.find((each) => each.heading === "Weather")).toMatchObject({
      field: null,
      text: "left out: no field fits its heading and its cells",
      samples: ["sunny"],
    });
    expect(reasons.find((each) => each.heading === "Empty")?.text).toBe("left out: it is empty");
  });
  test("a log without names of rows gets them from its lines", async () => {
    const { mapping, reasons } = await propose("Place,L to R,R to L\na,1,2\n");
    expect(mapping.ids).toBe("row-number");
    expect(reasons.some((each) => each.field === "signal_id" && /named after its line/.test(each.text))).toBe(
      true,
    );
  });
  test("years of two digits and a column with day and time", async () => {
    const { mapping } = await propose(`${base},When\n1,a,1,2,25.3.25 10:15\n`);
    expect(mapping.columns.filter((each) => each.heading === "When")).toEqual([
      { heading: "When", field: "date", order: "day-month-year", century: 2000 },
      { heading: "When", field: "seen_at", order: "day-month-year", century: 2000 },
    ]);
  });
  test("times in UTC, whose days may be others where the signal was", async () => {
    const { reasons, ids } = await propose(`${base},Time\n1,a,1,2,2025-03-08T23:45:00Z\n`);
    expect(ids).toEqual([]);
    expect(reasons.find((each) => each.text.includes("UTC"))).toMatchObject({
      heading: "Time",
      field: "date",
    });
  });
  test("what was given stands", async () => {
    const given = parseMapping(JSON.stringify({
      schema: "overiron-columns/1",
      columns: [{ heading: "Place", field: "notes" }, { heading: "Date", order: "month-day-year" }],
      constants: { site: "here" },
    }));
    const { mapping, ids, of } = await propose(`${base},Date\n1,a,1,2,3/4/2025\n`, { given });
    expect(ids).toEqual([]);
    expect(of("Place")?.field).toBe("notes");
    expect(of("Date")).toEqual({ heading: "Date", field: "date", order: "month-day-year" });
    expect(mapping.constants).toEqual({ site: "here" });
  });
});

test("amendMapping() joins words and replaces the rest, and leaves what it was given", () => {
  const mapping: ColumnMapping = Object.freeze(parseMapping(JSON.stringify({
    schema: "overiron-columns/1",
    columns: [{ heading: "a", field: "dug", words: { ja: "yes" } }],
    finds: [{ word: "nail", metal: "ferrous" }],
    empty: ["-"],
  })));
  const copy = structuredClone(mapping);
  const amended = amendMapping(mapping, {
    columns: [{ heading: "a", words: { nein: "no" } }, { heading: "a", field: "notes" }],
    finds: [{ word: "nail", keep: "no" }],
    empty: ["-", "n/a"],
  });
  expect(mapping).toEqual(copy);
  expect(amended.columns).toEqual([
    { heading: "a", field: "dug", words: { ja: "yes", nein: "no" } },
    { heading: "a", field: "notes" },
  ]);
  expect(amended.finds).toEqual([{ word: "nail", metal: "ferrous", keep: "no" }]);
  expect(amended.empty).toEqual(["-", "n/a"]);
});

test("any table gets a mapping that is valid, complete after its questions, and does not crash on use", async () => {
  const heading = fc.oneof(
    fc.constantFrom(
      ..."Nr,ID,Date,Time,Place,Depth,Find,Metal,Keep,Dug,Pass 1,Pass 2,r1,l1,L to R,R to L,Tiefe (mm),Fund,Magnet,Notes,constructor,__proto__,toString,Gap,Target,Nail,When,Machine,what_2,iron distance"
        .split(","),
    ),
    fc.string({ minLength: 1, maxLength: 12 }),
  );
  const cell = fc.oneof(
    fc.constantFrom(
      ..."|-|38 40|38-42|38,5|38 x 3|x|no tone|3/4/2025|2025-04-03|3/4/25 10:15 pm|45724|4in|4,5|deep|ja|no|?|n/a|nail|copper disc + nail|nothing|Machine A|1|2|410|__proto__|constructor"
        .split("|"),
    ),
    fc.string({ maxLength: 6 }),
  );
  const log = fc.uniqueArray(heading, {
    minLength: 1,
    maxLength: 8,
    selector: (each) => each.trim().toLowerCase(),
  }).filter((all) => all.every((each) => each.trim() !== "" && [...each].every((sign) => sign >= " "))).chain(
    (
      headings,
    ) =>
      fc.array(
        fc.array(cell.filter((text) => !text.includes("\0")), {
          minLength: headings.length,
          maxLength: headings.length,
        }),
        {
          minLength: 1,
          maxLength: 6,
        },
      ).map((rows) => [headings, ...rows]),
  );
  await fc.assert(
    fc.asyncProperty(log, fc.nat(), async (rows, pick) => {
      const text = rows.map((row) => row.map((each) => `"${each.replaceAll('"', '""')}"`).join(",")).join(
        "\n",
      );
      let made;
      try {
        made = await table(text);
      } catch {
        return; // The reader refuses it.
      }
      let asked = 0;
      const { mapping, questions } = await matchColumns(made, machines, {
        ask: (question) => {
          if (asked++ > 200) throw new Error("Asked without end");
          if (question.options.length === 0) {
            return Promise.resolve(
              question.constant === undefined ? null : { constants: { [question.constant]: "here" } },
            );
          }
          return Promise.resolve(question.options[(pick + asked) % question.options.length]!.patch);
        },
      });
      expect(questions.every((each) => each.options.length === 0 && each.constant === undefined)).toBe(true);
      expect(parseMapping(mappingText(mapping))).toEqual(mapping);
      const mapped = mapTable(made, mapping);
      for (let row = 0; row < mapped.rowCount; row++) {
        for (let at = 0; at < mapped.headings.length; at++) {
          expect(typeof mapped.cell(row, at)).toBe("string");
        }
      }
      for (const each of made.headings) {
        if (each !== "") expect(mapping.columns.some((column) => column.heading === each)).toBe(true);
      }
    }),
    { numRuns: 100 },
  );
});
