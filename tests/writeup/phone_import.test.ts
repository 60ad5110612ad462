import { describe, expect, test } from "vitest";
import { csvRows, parsePhoneFile } from "../../lib/writeup/phone_import.ts";

const fault = (run: () => unknown): string => {
  try {
    run();
  } catch (error) {
    expect(error).toBeInstanceOf(SyntaxError);
    return (error as Error).message;
  }
  return "none";
};
const refused = (text: string): string => fault(() => parsePhoneFile(text));

describe("csvRows()", () => {
  test("reads what RFC 4180, section 2, says: quotes, doubled quotes, commas and line breaks inside, a last line without an end", () => {
    // The examples of RFC 4180, section 2, rules 1, 2, 5, 6 and 7.
    expect(csvRows("aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n")).toEqual([["aaa", "bbb", "ccc"], ["zzz", "yyy", "xxx"]]);
    expect(csvRows("aaa,bbb,ccc\r\nzzz,yyy,xxx")).toEqual([["aaa", "bbb", "ccc"], ["zzz", "yyy", "xxx"]]);
    expect(csvRows('"aaa","bbb","ccc"\r\nzzz,yyy,xxx')).toEqual([["aaa", "bbb", "ccc"], [
      "zzz",
      "yyy",
      "xxx",
    ]]);
    expect(csvRows('"aaa","b\r\nbb","ccc"\r\nzzz,yyy,xxx')).toEqual([["aaa", "b\r\nbb", "ccc"], [
      "zzz",
      "yyy",
      "xxx",
    ]]);
    expect(csvRows('"aaa","b""bb","ccc"')).toEqual([["aaa", 'b"bb', "ccc"]]);
  });
  test("takes a bare line feed or carriage return as the end of a line, and an empty text as no row", () => {
    expect(csvRows("a,b\n1,\n")).toEqual([["a", "b"], ["1", ""]]);
    expect(csvRows("a,b\r1,2")).toEqual([["a", "b"], ["1", "2"]]);
    expect(csvRows("")).toEqual([]);
  });
  test("refuses an open quote and a row of another length, by its number", () => {
    expect(fault(() => csvRows('a,b\r\n1,"2'))).toBe(
      "This file was not taken in: it is cut off inside a quoted cell. Nothing on this phone was changed",
    );
    expect(fault(() => csvRows("a,b\r\n1"))).toMatch(/row 2 has 1 cells in place of 2: it is cut off/);
  });
});

describe("parsePhoneFile()", () => {
  const csv = "signal_id,outing_id,site,settings,readings_right,dug,metal,keep,metal_2,nobody_knows\r\n" +
    "a-01,a,K7,A-open,412 .,yes,non-ferrous,yes,ferrous,1\r\na-02,a,K7,A-open,90,no,,,,\r\n";
  test("takes outings, signals and finds apart, and leaves columns it does not know", () => {
    const { outings, signals } = parsePhoneFile(csv);
    expect([...outings]).toEqual([["a", { site: "K7", settings: "A-open" }]]);
    expect([...signals]).toEqual([
      ["a-01", {
        outing: "a",
        values: { readings_right: "412 .", dug: "yes" },
        finds: [{ metal: "non-ferrous", keep: "yes" }, { metal: "ferrous" }],
      }],
      ["a-02", { outing: "a", values: { readings_right: "90", dug: "no" }, finds: [] }],
    ]);
    expect(parsePhoneFile(`\ufeff${csv}`)).toEqual(parsePhoneFile(csv));
  });
  const json = (change: Record<string, unknown> = {}): string =>
    JSON.stringify({
      schema: "overiron-phone-log/1",
      count: 1,
      outings: { a: { site: "K7", holes_filled: "2" } },
      signals: [{ signal_id: "a-01", outing_id: "a", site: "K7", readings_right: "412", dug: null }],
      ...change,
    });
  test("reads JSON, an outing without signals too", () => {
    const { outings, signals } = parsePhoneFile(json({ outings: { a: { site: "K7" }, b: { site: "K9" } } }));
    expect([...outings]).toEqual([["a", { site: "K7" }], ["b", { site: "K9" }]]);
    expect(signals.get("a-01")).toEqual({ outing: "a", values: { readings_right: "412" }, finds: [] });
    expect(parsePhoneFile(json()).outings.get("a")).toEqual({ site: "K7", holes_filled: "2" });
  });
  test("refuses a cut file at whatever place it is cut, and never takes half of it", () => {
    const text = json();
    for (let at = 1; at < text.length; at++) expect(refused(text.slice(0, at)), String(at)).not.toBe("none");
    const name = "dig-log-2026-05-02-2-signals.csv";
    expect(parsePhoneFile(csv, { name }).signals.size).toBe(2);
    for (let at = 0; at < csv.length - 1; at++) {
      expect(fault(() => parsePhoneFile(csv.slice(0, at), { name })), String(at)).not.toBe("none");
    }
    expect(fault(() => parsePhoneFile(csv.split("\r\n").slice(0, 2).join("\r\n") + "\r\n", { name })))
      .toMatch(
        /its name says 2 signals, but it holds 1/,
      );
  });
  test("tells another kind, another version, a wrong count, an id twice and a row without an id apart", () => {
    expect(refused("{}")).toMatch(/not a log that this page saved/);
    expect(refused("a,b\r\n1,2\r\n")).toMatch(/not a log that this page saved/);
    expect(refused("")).toMatch(/not a log that this page saved/);
    expect(refused(json({ schema: "overiron-phone-log/2" }))).toMatch(/saved by another version/);
    expect(refused(json({ count: 2 }))).toMatch(/it says that it holds 2 signals, but holds 1/);
    expect(refused(csv + "a-02,a,K7,A-open,90,no,,,,\r\n")).toMatch(/holds the signal a-02 twice/);
    expect(refused(csv + ",a,K7,A-open,90,no,,,,\r\n")).toMatch(/row 3 has no signal_id or no outing_id/);
    expect(refused(csv)).toBe("none");
  });
  test("takes no other field of an object than the schema's, whatever it is called", () => {
    const made = parsePhoneFile(
      '{"schema":"overiron-phone-log/1","count":1,"outings":{},"signals":[{"signal_id":"a-01","outing_id":"a","__proto__":{"x":1},"constructor":"y","readings_right":"4"}]}',
    );
    expect(made.signals.get("a-01")!.values).toEqual({ readings_right: "4" });
  });
});
