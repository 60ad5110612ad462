import { describe, expect, test } from "vitest";
import { escapeHtml, formatCounts, formatEstimate, formatNumber } from "../../lib/figures/_text.ts";
import { absent, counted, present } from "../../lib/numbers/mod.ts";

describe("text of numbers", () => {
  test("escapeHtml() leaves nothing that HTML would read", () => {
    expect(escapeHtml(`<a b="c" d='e'>&`)).toBe("&#60;a b=&#34;c&#34; d=&#39;e&#39;&#62;&#38;");
  });
  test("formatNumber() has a true minus sign and no minus zero", () => {
    expect([formatNumber(-1.25, 1), formatNumber(-0.04, 1), formatNumber(3, 0)]).toEqual([
      "\u22121.3",
      "0.0",
      "3",
    ]);
  });
  test("formatCounts() counts one thing in the singular", () => {
    expect(formatCounts({ trials: 45, blocks: 1 })).toBe("45 trials, 1 block");
  });
  test("formatEstimate() shows shares as per cent, to a tenth of the interval's width", () => {
    const share = present(0.6061, { low: 0.4545, high: 0.7931, level: 0.95, method: "Wilson" }, {
      signals: 33,
    });
    expect(formatEstimate(share, "share", "full")).toBe(
      "61\u00a0% (45 to 79\u00a0%; n\u00a0=\u00a033 signals)",
    );
    expect(formatEstimate(share, "share", "interval")).toBe("61\u00a0% (45 to 79\u00a0%)");
    expect(formatEstimate(share, "share", "value")).toBe("61\u00a0%");
    expect(formatEstimate(share, "share", "value", 2)).toBe("60.61\u00a0%");
  });
  test("formatEstimate() shows a count bare and an absence with its reason", () => {
    expect(formatEstimate(counted(450, { signals: 450 }), "count", "full")).toBe("450");
    const none = absent("too few", "Needs 5 sites, got 1", { sites: 1 });
    expect(formatEstimate(none, "share", "full")).toBe(
      "too few (Needs 5 sites, got 1; n\u00a0=\u00a01 site)",
    );
    expect(formatEstimate(none, "share", "interval")).toBe("too few");
  });
});
