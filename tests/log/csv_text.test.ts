import fc from "fast-check";
import { expect, test } from "vitest";
import { csvText, guardCell, restoreCell } from "../../lib/log/mod.ts";

// The risky first characters are those of the OWASP page "CSV Injection" (from memory), with their full-width forms.
test.each(["=cmd()", "+1+1", "-1+1", "-5 -10", "@SUM(A1)", "\t=1", "\r=1", "\uff1d1", "'=1", "=1\n2"])(
  "guardCell() puts an apostrophe before %j",
  (text) => {
    expect(guardCell(text)).toBe(`'${text}`);
    expect(restoreCell(guardCell(text))).toBe(text);
  },
);

test.each(["-5", "-5.25", "5", "x", "a=b", "", "38-42"])("guardCell() leaves %j", (text) => {
  expect(guardCell(text)).toBe(text);
  expect(restoreCell(text)).toBe(text);
});

test("restoreCell() undoes guardCell() for any text", () => {
  fc.assert(
    fc.property(
      fc.string({ unit: fc.constantFrom("'", "=", "-", "5", "a", "@", "\t"), maxLength: 6 }),
      (text) => {
        expect(restoreCell(guardCell(text))).toBe(text);
      },
    ),
  );
});

test("csvText() quotes, doubles quotes, writes null as nothing and ends with LF", () => {
  expect(csvText([["a", "b"], ["x,y", 'say "z"'], [null, 1.5], ["l1\nl2", -3]])).toBe(
    'a,b\n"x,y","say ""z"""\n,1.5\n"l1\nl2",-3\n',
  );
  expect(csvText([["a"], [null]])).toBe('a\n""\n');
  expect(() => csvText([[NaN]])).toThrow(
    new RangeError("Cannot write CSV: a number must be finite, got NaN"),
  );
});
