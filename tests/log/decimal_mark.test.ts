import { describe, expect, test } from "vitest";
import { FileFault, loadDigLog } from "../../lib/log/mod.ts";
import { faultOf, file, oneMachine } from "./_helpers.ts";

const HEAD = "signal_id;site;readings_right;readings_left;depth_cm;metal\n";
const load = (rows: string, options = {}) => loadDigLog(file(HEAD + rows), oneMachine, options);
const depths = async (rows: string, options = {}) =>
  (await load(rows, options)).season.signals.map(({ finds }) => finds[0]?.depth_cm);

describe("the decimal mark of a log", () => {
  test("is a comma where every number has one, and the report says so", async () => {
    const { season, report } = await load(
      "1;A;300;300;12,5;ferrous\n2;A;300;300;8;ferrous\n3;A;300;300;0,5;ferrous\n",
    );
    expect(season.signals.map(({ finds }) => finds[0]?.depth_cm)).toEqual([12.5, 8, 0.5]);
    expect(report.assumptions).toContainEqual({
      role: "dig-log",
      column: null,
      text: "A comma in a number was read as the decimal mark, as in the numbers of the whole log",
      count: 2,
      first: { file: "log.csv", line: 2, value: "12,5" },
    });
  });

  test("is a point where nine of ten have one: the odd row is rejected as it was written", async () => {
    const rows = Array.from({ length: 9 }, (_, i) => `${i};A;300;300;1.5;ferrous\n`).join("");
    const { report } = await load(`${rows}x;A;300;300;1,5;ferrous\n`);
    expect(report.rejected.map(({ faults }) => faults[0]!.value)).toEqual(["1,5"]);
    expect(report.rejected[0]!.cells[4]).toBe("1,5");
  });

  test("is asked where both occur, or where commas may be thousands", async () => {
    const mixed = await faultOf(() => load("1;A;300;300;1,5;ferrous\n2;A;300;300;1.5;ferrous\n"));
    expect(mixed).toBeInstanceOf(FileFault);
    expect(mixed.message).toBe(
      'Cannot use log.csv: numbers must have one decimal mark, got 1 with a comma (first "1,5" on line 2) and 1 with a point; give --decimal comma or --decimal point',
    );
    expect((await faultOf(() => load("1;A;300;300;1,500;ferrous\n"))).message).toBe(
      'Cannot use log.csv: it must be clear what a comma in a number means, got only such as "1,500" on line 2; give --decimal comma, or write thousands without a mark',
    );
    expect(await depths("1;A;300;300;1,500;ferrous\n", { decimal: "comma" })).toEqual([1.5]);
    expect(await depths("1;A;300;300;1,5;ferrous\n2;A;300;300;1.5;ferrous\n", { decimal: "comma" })).toEqual([
      1.5,
      1.5,
    ]);
  });
});
