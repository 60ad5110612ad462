import type { Browser } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import type { FieldRules } from "../../lib/decide/mod.ts";
import { fieldCard } from "../../lib/writeup/field_card.ts";
import { fieldSheets, type Paper, PAPERS } from "../../lib/writeup/field_sheets.ts";
import { chromiumPath, mustHavePrograms } from "./_programs.ts";

// CSS: 1in = 96px = 25.4mm (CSS Values and Units, Level 3, section 5.2).
const MM = 96 / 25.4;
// ISO 216 A4 and ANSI/ASME Y14.1 size A, landscape, in millimetres; the sheets' margin is 9 mm.
const INSIDE: Record<Paper, [number, number]> = {
  a4: [297 - 18, 210 - 18],
  letter: [279.4 - 18, 215.9 - 18],
};

describe.runIf(chromiumPath() !== null || mustHavePrograms())("field sheets in Chromium", () => {
  let browser: Browser;
  beforeAll(async () => {
    const { chromium } = await import("playwright-core");
    const executablePath = chromiumPath() ?? undefined;
    browser = await chromium.launch({ executablePath, args: ["--no-sandbox", "--disable-gpu"] });
  });
  afterAll(() => browser?.close());

  // As full as a card gets: six bands by three spreads, twice, every cell in its longest words, long names, several settings.
  const cells = Array.from(
    { length: 6 },
    // Wilson's interval of a fifth of 1245 lies around 1 in 5, between 1 in 10 and 1 in 3: another word at each worth.
    () => Array.from({ length: 4 }, () => ({ ferrous: 996, good: 249 })),
  );
  const counts = { readingBreaks: [88, 110, 158, 463, 533], spreadBreaks: [3, 6], cells };
  const settings = [
    "Open field, large coil, all metal",
    "Open field, small coil",
    "Stubble, small coil, slow recovery",
  ];
  const rule = (machine: string) => ({
    version: "r0123456789",
    machine,
    discrimination: "iron-silenced",
    settings,
    learntFrom: { signals: 1646, ferrous: 1234, nonFerrous: 301, maskedGood: 111, sites: 24 },
    months: { from: "2024-03", to: "2026-11" },
    ground: ["loam", "clay", "sand", "chalk", "gravel", "peat", "not logged"].map((word) => ({
      word,
      signals: 200,
    })),
    moisture: ["dry", "damp", "wet", "waterlogged", "not logged"].map((word) => ({ word, signals: 300 })),
    card: counts,
    stepCard: counts,
  });
  const coil = { length_cm: 28, width_cm: 23, winding: "overlapped" };
  const full = {
    rules: ["A machine with a rather long name", "Machine B"].map(rule),
    machines: {
      machines: ["A machine with a rather long name", "Machine B"].map((machine) => ({
        machine,
        iron_break: 120,
      })),
      settings: settings.map((each) => ({ settings: each, coil })),
    },
  } as unknown as FieldRules;
  test.each([["A4", undefined], ["Letter", undefined], ["A4", [5]], ["Letter", [5]]] as const)(
    "a card is one page of %s a rule, however full it is, and nothing is cut off (worths %j)",
    async (format, worths) => {
      const page = await browser.newPage();
      await page.setContent(fieldCard(full, worths === undefined ? {} : { worths }));
      const pdf = new TextDecoder("latin1").decode(await page.pdf({ format }));
      expect(pdf.match(/\/Type\s*\/Page\b/g)).toHaveLength(2);
      // The paper less its margins of 9 mm.
      const wide = (format === "A4" ? 210 : 215.9) - 18;
      await page.setViewportSize({ width: Math.floor(wide * MM), height: 1000 });
      await page.emulateMedia({ media: "print" });
      const over = await page.evaluate(
        `Math.max(...[...document.querySelectorAll("article, td, th, table, .stop")].map((each) => each.scrollWidth - each.clientWidth))`,
      ) as number;
      expect(over).toBeLessThanOrEqual(1);
      await page.close();
    },
  );

  for (const paper of Object.keys(PAPERS) as Paper[]) {
    test(`${paper}: every box is 8 mm high or more, inside the paper, and nothing is cut off`, async () => {
      const page = await browser.newPage();
      await page.setContent(fieldSheets({ paper, sheets: 2 }));
      await page.emulateMedia({ media: "print" });
      const boxes = await page.evaluate(`[...document.querySelectorAll(".box")].map((box) => {
        const at = box.getBoundingClientRect(), sheet = box.closest(".page").getBoundingClientRect();
        const foot = box.closest(".page").lastElementChild.getBoundingClientRect();
        return { height: at.height, width: at.width, right: sheet.right - at.right, below: foot.top - at.bottom, end: sheet.bottom - foot.bottom,
          over: box.scrollWidth - box.clientWidth, high: box.scrollHeight - box.clientHeight };
      })`) as Record<"height" | "width" | "right" | "below" | "end" | "over" | "high", number>[];
      // 13 boxes of the outing, 16 columns by 11 lines on each of two sheets.
      expect(boxes).toHaveLength(13 + 2 * 11 * 16);
      expect(Math.min(...boxes.map(({ height }) => height / MM))).toBeGreaterThanOrEqual(8);
      expect(Math.min(...boxes.map(({ width }) => width / MM))).toBeGreaterThanOrEqual(8);
      for (const side of ["right", "below", "end"] as const) {
        expect(Math.min(...boxes.map((box) => box[side])), side).toBeGreaterThanOrEqual(-0.5);
      }
      expect(Math.max(...boxes.map(({ over }) => over))).toBeLessThanOrEqual(0);
      expect(Math.max(...boxes.map(({ high }) => high))).toBeLessThanOrEqual(0);
      const sheets = await page.evaluate(
        `[...document.querySelectorAll(".page")].map((each) => { const { width, height } = each.getBoundingClientRect(); return [width, height]; })`,
      ) as [number, number][];
      for (const [width, height] of sheets) {
        expect(Math.abs(width / MM - INSIDE[paper][0])).toBeLessThan(0.2);
        expect(height / MM).toBeLessThanOrEqual(INSIDE[paper][1] + 0.1);
      }
      // One sheet of paper each, in the paper's own size: points of 1/72 inch.
      const pdf = new TextDecoder("latin1").decode(await page.pdf({ preferCSSPageSize: true }));
      expect(pdf.match(/\/Type\s*\/Page\b/g)).toHaveLength(3);
      const media = /\/MediaBox\s*\[\s*0 0 ([\d.]+) ([\d.]+)/.exec(pdf)!;
      expect(Math.abs(Number(media[1]) - (INSIDE[paper][0] + 18) / 25.4 * 72)).toBeLessThan(2);
      expect(Math.abs(Number(media[2]) - (INSIDE[paper][1] + 18) / 25.4 * 72)).toBeLessThan(2);
      await page.close();
    });
  }
});
