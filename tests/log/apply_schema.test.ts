import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { applySchema, faultLine, FIELDS, FileFault, rejectedCsv, type RowSchema } from "../../lib/log/mod.ts";
import { readCsv } from "../../lib/log/read_csv.ts";
import { bytesOf, faultOf } from "./_helpers.ts";

interface Row {
  readonly find_id: string | null;
  readonly metal: string | null;
}
const schema: RowSchema<Row> = {
  role: "finds",
  fields: FIELDS.find,
  needed: ["find_id", "hole_id"],
  id: "find_id",
  finish(row) {
    if (row.text("what") === "plan") return "planned";
    if (row.text("what") === "odd") row.flag("what", "Odd");
    if (row.text("hole_id") === null) row.fault("hole_id", "must be filled");
    return row.text("hole_id") === null ? null : { find_id: row.text("find_id"), metal: row.text("metal") };
  },
};
const apply = (text: string, options = {}) =>
  applySchema(readCsv(bytesOf(text), { file: "finds.csv" }), schema, options);

describe("applySchema() accounts for every row", () => {
  const text = [
    "find_id,Hole ID,metal,depth_cm,what,colour",
    "1,h1,ferrous,5,a,red", // accepted
    '2,h1,Both,,"two\nlines",', // accepted, two lines
    ",,,,,", // blank
    "3,h1,ferous,12cm,a,", // two faults, line 6
    "1,h2,ferrous,,a,", // repeats an id, line 7
    "4,h1,ferrous", // ragged, line 8
    "5,h1,,,plan,", // planned
    "6,,,,a,", // fault from finish, line 10
    "7,h1,,,odd,",
    "8,h1,,,odd,",
    "9,h1,,,a,",
    "",
  ].join("\n");
  const out = apply(text);

  test("accepted, rejected, blank and planned", () => {
    expect(out.account).toEqual({
      role: "finds",
      file: "finds.csv",
      rows: 11,
      accepted: 5,
      rejected: 4,
      blank: 1,
      planned: 1,
    });
    expect(out.rows.map((row) => row.find_id)).toEqual(["1", "2", "7", "8", "9"]);
    expect(out.records).toEqual([1, 2, 9, 10, 11]);
  });

  test("rejected rows tell file, physical line, column, rule and value, all faults of a row at once", () => {
    expect(out.rejected.flatMap((row) => row.faults.map(faultLine))).toEqual([
      'finds.csv, line 6, metal: must be one of ferrous, non-ferrous, both, not-sure, got "ferous"; nearest is "ferrous"',
      'finds.csv, line 6, depth_cm: must be a number with a decimal point and no unit, got "12cm"',
      'finds.csv, line 7, find_id: must differ from row to row: the first row with it stands, got "1"',
      'finds.csv, line 8: must have as many cells as the heading row, 6, got "3 cells"',
      'finds.csv, line 10, Hole ID: must be filled, got ""',
    ]);
    expect(out.rejected[1]).toMatchObject({ line: 7, record: 5, cells: ["1", "h2", "ferrous", "", "a", ""] });
    expect(out.rejected[3]?.faults[0]?.field).toBe("hole_id");
  });

  test("flags are counted with their first place, and unknown columns are listed", () => {
    expect(out.flags).toEqual([{
      role: "finds",
      column: "what",
      text: "Odd",
      count: 2,
      first: { file: "finds.csv", line: 11, value: "odd" },
    }]);
    expect(out.ignored).toEqual([{ role: "finds", file: "finds.csv", heading: "colour", nearest: null }]);
  });

  test("rejected rows can be written, mended and loaded again", () => {
    const [written] = rejectedCsv(out.rejected);
    expect(written?.name).toBe("rejected-finds.csv");
    expect(written?.text.split("\n")[0]).toBe(
      "rejected_file,rejected_line,rejected_reason,find_id,Hole ID,metal,depth_cm,what,colour",
    );
    expect(written?.text).toContain("finds.csv,8,");
    const mended = written!.text.replace("3,h1,ferous,12cm", "3,h1,ferrous,12").replace(",1,h2,", ",10,h2,")
      .replace("4,h1,ferrous\n", "4,h1,ferrous,,,\n")
      .replace("6,,,,a", "6,h1,,,a");
    const again = apply(mended);
    expect(again.account).toMatchObject({ rows: 4, accepted: 4, rejected: 0 });
    expect(again.ignored.map((each) => each.heading)).toEqual(["colour"]);
  });
});

describe("applySchema() refuses a file", () => {
  test.each([
    [
      "a heading row only",
      "find_id,hole_id\n",
      "Cannot use finds.csv: it must have a data row, got a heading row only",
    ],
    [
      "a needed column missing",
      "find_id,holeid\n1,2\n",
      'Cannot use finds.csv: the column hole_id is needed, got none; nearest is "holeid"',
    ],
    [
      "a needed column missing, nothing near",
      "find_id,colour\n1,2\n",
      'Cannot use finds.csv: the column hole_id is needed, got none among "find_id", "colour"',
    ],
    [
      "no row accepted",
      "find_id,hole_id,metal\n1,h,tin\n",
      'Cannot use finds.csv: at least one row must be accepted, got 1 rejected, 0 blank, 0 planned. First: finds.csv, line 2, metal: must be one of ferrous, non-ferrous, both, not-sure, got "tin"',
    ],
    [
      "more than half rejected",
      "find_id,hole_id,metal\n1,h,tin\n2,h,tin\n3,h,both\n",
      'Cannot use finds.csv: no more than half of the rows may be rejected, got 2 of 3. First: finds.csv, line 2, metal: must be one of ferrous, non-ferrous, both, not-sure, got "tin" | finds.csv, line 3, metal: must be one of ferrous, non-ferrous, both, not-sure, got "tin"',
    ],
  ])("%s", async (_, text, message) => {
    const fault = await faultOf(() => apply(text));
    expect(fault).toBeInstanceOf(FileFault);
    expect((fault as FileFault).status).toBe(1);
    expect(fault.message).toBe(message);
  });

  test("exactly half rejected goes on, unless strict", async () => {
    const text = "find_id,hole_id,metal\n1,h,tin\n2,h,both\n";
    expect(apply(text).account).toMatchObject({ accepted: 1, rejected: 1 });
    expect((await faultOf(() => apply(text, { strict: true }))).message).toContain(
      "strict allows no rejected row, got 1",
    );
  });
});

test("applySchema() follows a mapping, and refuses one to no field", () => {
  expect(apply("Nr,Loch\n1,h\n", { mapping: new Map([["Nr", "find_id"], ["Loch", "hole_id"]]) }).rows)
    .toEqual([{ find_id: "1", metal: null }]);
  expect(() => apply("Nr,Loch\n1,h\n", { mapping: new Map([["Nr", "number"]]) })).toThrow(
    new RangeError('Cannot map a column: finds has no such field, got "number"'),
  );
});

test("applySchema() takes headings like __proto__ for unknown columns", () => {
  const out = apply("find_id,hole_id,__proto__,constructor\n1,h,x,y\n");
  expect(out.ignored.map((each) => each.heading)).toEqual(["__proto__", "constructor"]);
  expect(out.account.accepted).toBe(1);
});

test("applySchema() loses no row of any table: the account balances", () => {
  const cell = fc.constantFrom(
    "",
    "1",
    "2",
    "3",
    "h",
    "ferrous",
    "tin",
    "plan",
    "12cm",
    '"',
    "=cmd()",
    "<script>",
    " ",
  );
  const rows = fc.array(fc.array(cell, { minLength: 1, maxLength: 5 }), { minLength: 1, maxLength: 12 });
  fc.assert(
    fc.property(rows, (rows) => {
      const good = Array.from({ length: rows.length + 1 }, (_, i) => `g${i},h,both,`);
      const text = [
        "find_id,hole_id,metal,what",
        ...rows.map((row) => row.map((each) => each === '"' ? '5"' : each).join(",")),
        ...good,
      ].join("\n") + "\n";
      const { account, rejected, rows: accepted } = apply(text);
      expect(account.rows).toBe(rows.length + good.length);
      expect(account.accepted + account.rejected + account.blank + account.planned).toBe(account.rows);
      expect([accepted.length, rejected.length]).toEqual([account.accepted, account.rejected]);
      for (const row of rejected) expect(row.faults.length).toBeGreaterThan(0);
    }),
    { numRuns: 1000 },
  );
});
