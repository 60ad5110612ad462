import { parseHTML } from "linkedom";
import { describe, expect, test } from "vitest";
import { planGarden } from "../../lib/garden/mod.ts";
import { gardenSheet } from "../../lib/writeup/garden_sheet.ts";

const make = (blind: boolean) =>
  planGarden({
    targets: [{ name: "disc <b>", sizeMm: 24 }],
    neighbours: [{ name: "nail", kind: "nail", lengthMm: 60, thicknessMm: 5 }],
    settings: "A-open",
    gardens: 2,
    blind,
  });
const pageOf = (html: string) => parseHTML(html).document as unknown as Document;

describe("gardenSheet()", () => {
  test("has two boxes to write in for every trial, in the order of the run list, and escapes names", () => {
    const plan = make(false), html = gardenSheet(plan), page = pageOf(html);
    expect(page.querySelectorAll("td.box").length).toBe(2 * plan.trials.length);
    const ids = [...page.querySelectorAll(".block tbody tr")].map((row) =>
      row.querySelectorAll("td")[1]!.textContent
    );
    expect(ids).toEqual(plan.trials.map((trial) => trial.trial_id));
    expect(html).not.toContain("<b>");
    expect(html).not.toMatch(/https?:|<script|\bNaN\b|undefined/);
  });

  test("puts stop rules first, then the ground, and lists what to lift with a box each", () => {
    const plan = make(false), page = pageOf(gardenSheet(plan)), text = page.body.textContent!;
    expect(text.indexOf("Stop, leave it")).toBeLessThan(text.indexOf("The ground"));
    for (
      const words of [
        "Never historic ground",
        "cables",
        "without value",
        "Nails flat",
        "two coil widths",
        "spacer",
      ]
    ) {
      expect(text).toContain(words);
    }
    expect([...page.querySelectorAll("ul.ticks li")].map((item) => item.textContent)).toEqual([...plan.lift]);
    expect(page.querySelector("svg")!.getAttribute("aria-label")).toBe(
      `${plan.spots.length} pegs in a row, 56 cm apart`,
    );
  });

  test("a blind plan keeps what lies there from whoever reads", () => {
    const html = gardenSheet(make(true)),
      [, reader] = html.split("<h1>For whoever reads</h1>") as [string, string];
    const list = reader.split("<h1>Lifting it</h1>")[0]!;
    expect(list).not.toMatch(/nail|disc|edge to edge|alone/);
    expect(html.split("<h1>For the helper who lays</h1>")[1]).toMatch(/edge to edge/);
  });
});
