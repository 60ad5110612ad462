import { describe, expect, test } from "vitest";
import { root } from "./_notebooks.ts";

const css = Deno.readTextFileSync(`${root}/shared/theme.css`);
const colours = (block: string): Record<string, string> =>
  Object.fromEntries(
    [...block.matchAll(/--([\w-]+): (#[0-9a-f]{6})/g)].map(([, name, value]) => [name!, value!]),
  );
const light = colours(css.slice(0, css.indexOf("@media (prefers-color-scheme: dark)")));
const dark = colours(
  css.slice(css.indexOf("@media (prefers-color-scheme: dark)"), css.indexOf("box-sizing")),
);
const print = colours(css.slice(css.indexOf("@media print")));

/** Relative luminance and contrast as WCAG 2.2 defines them (success criterion 1.4.3). */
function luminance(colour: string): number {
  const [r, g, b] = [1, 3, 5].map((at) => {
    const value = Number.parseInt(colour.slice(at, at + 2), 16) / 255;
    return value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * r! + 0.7152 * g! + 0.0722 * b!;
}
function contrast(a: string, b: string): number {
  const [high, low] = [luminance(a), luminance(b)].sort((x, y) => y - x);
  return (high! + 0.05) / (low! + 0.05);
}

describe("shared/theme.css", () => {
  test("contrast() agrees with the ends of the scale", () => {
    // WCAG 2.2: black on white is 21:1, a colour on itself 1:1.
    expect(contrast("#000000", "#ffffff")).toBeCloseTo(21, 10);
    expect(contrast("#777777", "#777777")).toBe(1);
  });

  test.each([["light", light], ["dark", dark], ["print", print]] as const)(
    "has text at 4.5:1 or more in %s",
    (_, theme) => {
      for (const ground of ["paper", "panel", "stop-paper"]) {
        for (const name of ["ink", "soft", "accent", "stop"]) {
          expect([name, ground, contrast(theme[name]!, theme[ground]!) >= 4.5]).toEqual([name, ground, true]);
        }
      }
      for (const name of ["code-key", "code-text", "code-number"]) {
        const colour = theme[name] ?? light[name]!;
        expect([name, contrast(colour, theme.panel!) >= 4.5]).toEqual([name, true]);
      }
    },
  );

  test.each([["light", light], ["dark", dark], ["print", print]] as const)(
    "has seven series at 3:1 or more in %s",
    (_, theme) => {
      for (let i = 1; i <= 7; i++) {
        expect(contrast(theme[`series-${i}`]!, theme.paper!))
          .toBeGreaterThanOrEqual(3);
      }
      expect(new Set(Array.from({ length: 7 }, (_, i) => theme[`series-${i + 1}`])).size).toBe(7);
    },
  );

  test("asks for nothing from outside", () => {
    expect(css).not.toMatch(/url\(|@import|@font-face|https?:/);
  });
});
