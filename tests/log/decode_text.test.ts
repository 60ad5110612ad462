import { describe, expect, test } from "vitest";
import { FileFault, readTable } from "../../lib/log/mod.ts";
import { decodeText } from "../../lib/log/decode_text.ts";
import { bytesOf, faultOf } from "./_helpers.ts";

const utf16 = (text: string, little: boolean, mark = true): Uint8Array => {
  const units = [...(mark ? "\ufeff" : "") + text].flatMap((each) =>
    [...each].flatMap(() => Array.from({ length: each.length }, (_, i) => each.charCodeAt(i)))
  );
  return Uint8Array.from(units.flatMap((unit) => little ? [unit & 255, unit >> 8] : [unit >> 8, unit & 255]));
};
const text = (bytes: Uint8Array, options = {}): string =>
  new TextDecoder().decode(decodeText(bytes, "log.csv", options).body);
const TEXT = "a,b\nMølle 🙂,2\n";

describe("decodeText()", () => {
  test.each([
    ["UTF-8", bytesOf(TEXT), "utf-8", null],
    ["UTF-8 with a mark", bytesOf(`\ufeff${TEXT}`), "utf-8", null],
    ["UTF-16 LE", utf16(TEXT, true), "utf-16le", "The text was read as UTF-16, as its byte order mark says"],
    ["UTF-16 BE", utf16(TEXT, false), "utf-16be", "The text was read as UTF-16, as its byte order mark says"],
  ])("reads %s by its mark", (_, bytes, encoding, note) => {
    const decoded = decodeText(bytes, "log.csv");
    expect(new TextDecoder().decode(decoded.body)).toBe(TEXT);
    expect([decoded.encoding, decoded.note]).toEqual([encoding, note]);
  });

  test("reads what is said", () => {
    // Windows-1252: 0x80 is the euro sign, 0xF8 is ø (best fit table of the Unicode consortium, CP1252.TXT; from memory).
    expect(text(Uint8Array.of(0x61, 0x80, 0xf8), { encoding: "windows-1252" })).toBe("a€ø");
    expect(text(Uint8Array.of(0x61, 0xe6), { encoding: "windows-1251" })).toBe("aж");
    expect(text(utf16(TEXT, true, false), { encoding: "utf-16le" })).toBe(TEXT);
  });

  test("never guesses Windows-1252, and names the option", async () => {
    const fault = await faultOf(() => decodeText(Uint8Array.of(0x61, 0x0a, 0xf8), "log.csv"));
    expect(fault).toBeInstanceOf(FileFault);
    expect(fault.message).toBe(
      "Cannot read log.csv: it must be UTF-8 (save it as CSV UTF-8, or say what it is: --encoding windows-1252 for most older spreadsheets), got byte 0xF8 at byte 2, line 2",
    );
  });

  test("refuses an encoding that the bytes deny", async () => {
    const messages = await Promise.all([
      faultOf(() => decodeText(utf16(TEXT, false), "log.csv", { encoding: "utf-16le" })),
      faultOf(() => decodeText(Uint8Array.of(0x61, 0x0a, 0x81), "log.csv", { encoding: "windows-1252" })),
      faultOf(() => decodeText(Uint8Array.of(0x61, 0, 0x62), "log.csv", { encoding: "utf-16le" })),
      faultOf(() => decodeText(utf16("ab\u0000c", true), "log.csv")),
      faultOf(() => decodeText(utf16("some text", true, false), "log.csv")),
      faultOf(() => decodeText(bytesOf("\ufeff"), "log.csv")),
      faultOf(() => decodeText(bytesOf("a"), "log.csv", { encoding: "latin1" as "utf-8" })),
    ]);
    expect(messages.map(({ message }) => message)).toEqual([
      "Cannot read log.csv: it must be utf-16le, as --encoding says, got the byte order mark of utf-16be",
      "Cannot read log.csv: it must be windows-1252, got the control character U+0081 on line 2",
      "Cannot read log.csv: it must be utf-16le, got bytes that this encoding does not have",
      "Cannot read log.csv: it must be text, got the control character U+0000 on line 1",
      "Cannot read log.csv: it must be UTF-8, or UTF-16 with a byte order mark, got what looks like UTF-16 without one; if it is, give --encoding utf-16le",
      "Cannot read log.csv: it must have a heading row, got a byte order mark only",
      "Cannot read log.csv: encoding must be one of utf-8, utf-16le, utf-16be, windows-1252, windows-1250, windows-1251, windows-1253, windows-1254, windows-1257, iso-8859-2, iso-8859-15, macintosh, got latin1",
    ]);
  });

  test("a table of UTF-16 has its lines and cells, and says how it was read", async () => {
    const table = await readTable({ name: "log.csv", bytes: utf16('a;b\r\n"1\r\n2";ø\r\n', true) });
    expect([table.cell(0, 0), table.cell(0, 1), table.place(0, 1).line]).toEqual(["1\r\n2", "ø", 3]);
    expect(table.notes?.map(({ text }) => text)).toEqual([
      "The text was read as UTF-16, as its byte order mark says",
      "The fields were split by semicolons, as the heading row shows",
    ]);
  });
});
