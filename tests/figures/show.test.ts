import { describe, expect, test } from "vitest";
import {
  figure,
  folded,
  recordedMediaType,
  say,
  show,
  stated,
  table,
  tally,
} from "../../lib/figures/show.ts";
import { absent, counted, present } from "../../lib/numbers/mod.ts";

const share = present(0.2512, { low: 0.1, high: 0.4, level: 0.95, method: "Wilson" }, {
  signals: 40,
  sites: 1,
});
const svg = '<svg role="img" aria-label="A thing"></svg>';

describe("stated()", () => {
  test("shows value, interval and counts", () => {
    expect(stated("season.signals", {}, share).words).toBe(
      "0.25 (0.10 to 0.40; n\u00a0=\u00a040 signals, 1 site)",
    );
    expect(stated("season.signals", {}, share, { form: "value" }).words).toBe("0.25");
    expect(stated("season.signals", {}, share, { form: "interval", decimals: 1 }).words).toBe(
      "0.3 (0.1 to 0.4)",
    );
  });
  test("shows an absence with its reason", () => {
    const none = absent("cannot tell yet", "Two blocks give no interval", { blocks: 2 });
    expect(stated("season.signals", {}, none).words).toBe(
      "cannot tell yet (Two blocks give no interval; n\u00a0=\u00a02 blocks)",
    );
  });
  test("refuses an id that is not listed", () => {
    expect(() => stated("season.nonsense", {}, share)).toThrow(RangeError);
  });
});

describe("say``", () => {
  test("records what it shows and escapes the rest", () => {
    const shown = say`<b> ${"A & B"} **${
      stated("season.signals", { site: "<x>" }, counted(3, { signals: 3 }))
    }**`;
    expect(shown.html).toBe(
      '<p class="said">&#60;b&#62; A &#38; B <strong><data class="stated" value="3" title="season.signals (site: &#60;x&#62;)">3</data></strong></p>',
    );
    expect(shown.recorded.results).toEqual([
      {
        id: "season.signals",
        of: { site: "<x>" },
        unit: "count",
        value: 3,
        interval: { low: 3, high: 3, level: 1, method: "counted, not estimated" },
        n: { signals: 3 },
      },
    ]);
  });
  test("refuses a bare number", () => {
    expect(() => say`There are ${3 as unknown as string}.`).toThrow("Cannot say a bare number");
  });
  test("hands the recorded numbers to the kernel beside the HTML", () => {
    const bundle =
      (say`${stated("season.signals", {}, share)}` as never as Record<symbol, () => Record<string, unknown>>)[
        Symbol.for("Jupyter.display")
      ]!();
    expect(Object.keys(bundle)).toEqual(["text/html", "text/plain", recordedMediaType]);
  });
});

describe("figure(), table(), tally(), show()", () => {
  test("figure() wants a plain id, a caption and an alternative text", () => {
    expect(() => figure({ id: "A", svg, caption: "x" })).toThrow('got "A"');
    expect(() => figure({ id: "a", svg, caption: " " })).toThrow("it needs a caption");
    expect(() => figure({ id: "a", svg: "<svg></svg>", caption: "x" })).toThrow("aria-label");
  });
  test("figure() passes on what its caption and table record", () => {
    const one = say`${stated("season.signals", {}, share)}`;
    const two = table({ caption: one, columns: ["a"], rows: [["b"]] });
    expect(figure({ id: "a", svg, caption: one, table: two }).recorded.results).toHaveLength(2);
  });
  test("table() refuses ragged rows", () => {
    expect(() => table({ caption: "c", columns: ["a", "b"], rows: [["x"]] })).toThrow(
      "row 1 needs 2 cells, got 1",
    );
  });
  test("a long table is folded under its caption, once, also inside a figure", () => {
    const long = table({
      caption: "Long",
      columns: ["a"],
      rows: Array.from({ length: 9 }, (_, i) => [`r${i}`]),
    });
    const short = table({ caption: "Short", columns: ["a"], rows: [["b"]] });
    expect(long.html).toContain("<summary>Long: 9 rows</summary>");
    expect(short.html).not.toContain("<details");
    for (
      const html of [
        figure({ id: "a", svg, caption: "c", table: show(long, long) }).html,
        folded("More", long).html,
      ]
    ) {
      expect(html.match(/<details/g)).toHaveLength(1);
      expect(html.match(/<\/details>/g)).toHaveLength(1);
    }
  });
  test("tally() refuses what is not a count", () => {
    const parts = {
      id: "season.signals",
      unit: "signals",
      caption: "c",
      rowTitle: "r",
      rows: ["a"],
      columns: ["b"],
    };
    expect(() => tally({ ...parts, counts: [[1.5]] })).toThrow("got 1.5");
    expect(() => tally({ ...parts, counts: [[1, 2]] })).toThrow("need 1 x 1 counts");
    expect(tally({ ...parts, counts: [[4]] }).recorded.tables[0]).toEqual(
      { id: "season.signals", of: { unit: "signals" }, rows: ["a"], columns: ["b"], counts: [[4]], n: 4 },
    );
  });
  test("show() keeps order and records", () => {
    const both = show(say`a`, say`${stated("season.signals", {}, share)}`);
    expect(both.text.startsWith("a\n\n")).toBe(true);
    expect(both.recorded.results).toHaveLength(1);
  });
});
