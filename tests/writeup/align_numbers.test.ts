import { describe, expect, test } from "vitest";
import { alignNumbers } from "../../lib/writeup/_align_numbers.ts";

const table = (head: string[], rows: string[][]): string =>
  `<table><caption>1</caption><thead><tr>${
    head.map((cell) => `<th scope="col">${cell}</th>`).join("")
  }</tr></thead><tbody>${
    rows.map(([first, ...rest]) =>
      `<tr><th scope="row">${first}</th>${rest.map((cell) => `<td>${cell}</td>`).join("")}</tr>`
    ).join("")
  }</tbody></table>`;
const flushRight = (html: string): number[] =>
  [...alignNumbers(html).matchAll(/<tr>[\s\S]*?<\/tr>/g)].map(([row]) => row.split('class="num"').length - 1);

describe("alignNumbers()", () => {
  test("sets columns of nothing but numbers flush right, headings too, and no other", () => {
    const html = table(["what", "n", "share", "note"], [
      ["a", "12", "<data>53 %</data>", "4 of 5"],
      ["b", "−3.5", "1.2\u00a0%", "7"],
    ]);
    expect(flushRight(html)).toEqual([2, 2, 2]);
    expect(alignNumbers(html)).toContain('<th scope="col" class="num">n</th>');
    expect(alignNumbers(html)).toContain('<th scope="col">note</th>');
  });

  test("leaves words, empty tables and tables with joined cells as they are", () => {
    for (
      const html of [
        "<p>12</p>",
        table(["a"], []),
        '<table><tbody><tr><td colspan="2">1</td></tr></tbody></table>',
      ]
    ) {
      expect(alignNumbers(html)).toBe(html);
    }
  });
});
