import * as Plot from "@observablehq/plot";
import { describe, expect, test } from "vitest";
import { renderPlot, seriesColors } from "../../lib/figures/_svg.ts";

const points = Array.from({ length: 9 }, (_, i) => ({ gap: i / 3, drift: 100 / (i + 1) }));
const options = { x: { label: "gap (cm)" }, marks: [Plot.dot(points, { x: "gap", y: "drift", clip: true })] };
const meta = { name: "demo-figure", alt: 'Nine <points> & a "gap"' };

describe("renderPlot()", () => {
  test("gives the same bytes each time, although Plot counts clip ids per process", () => {
    expect(renderPlot(options, meta)).toBe(renderPlot(options, meta));
  });
  test("names ids after the figure and points to them", () => {
    const svg = renderPlot(options, meta);
    expect(svg).toContain('id="demo-figure-1"');
    expect(svg).toContain("url(#demo-figure-1)");
  });
  test("writes no number with more than two decimals and no style sheet", () => {
    const svg = renderPlot(options, meta);
    expect(svg).not.toMatch(/\d\.\d{3}/);
    expect(svg).not.toContain("<style");
  });
  test("escapes the alternative text", () => {
    expect(renderPlot(options, meta)).toContain('aria-label="Nine &#60;points&#62; &#38; a &#34;gap&#34;"');
  });
  test("draws the legend above the plot", () => {
    const svg = renderPlot(options, { ...meta, legend: [{ label: "large nail", color: seriesColors[0]! }] });
    expect(svg).toContain(">large nail</text>");
  });
  test("refuses a plot that brings its own caption, one without alternative text, and a bad name", () => {
    expect(() => renderPlot({ ...options, caption: "x" }, meta)).toThrow(
      "leave title, caption and legend to the page",
    );
    expect(() => renderPlot(options, { ...meta, alt: " " })).toThrow("it needs an alternative text");
    expect(() => renderPlot(options, { ...meta, name: "A b" })).toThrow(
      'name must be a-z, 0-9 and -, got "A b"',
    );
  });
  test("refuses a plot that warns", () => {
    const dates = { marks: [Plot.dot([{ x: "2026-01-01" }, { x: "2026-01-02" }], { x: "x" })] };
    expect(() => renderPlot({ ...dates, x: { type: "point" } }, meta)).not.toThrow();
    expect(() => renderPlot(dates, meta)).toThrow("the plot gives a warning");
  });
});
