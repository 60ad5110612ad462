import { describe, expect, test } from "vitest";
import { cautionHtml, cautionsUnder, stopPanel } from "../../lib/writeup/field_stop_rules.ts";

describe("cautionsUnder()", () => {
  test("gives each rule of the section as plain text, the one that kills first", () => {
    const stop = cautionsUnder("Stop");
    expect(stop.length).toBeGreaterThanOrEqual(5);
    expect(stop[0]!.lead).toBe("Anything that might explode");
    expect(stop[0]!.text).toMatch(
      /^big, heavy, finned, cylindrical or wired.*fuzed shell.*Do not touch, lift or move/,
    );
    for (
      const { lead, text } of [...stop, ...cautionsUnder("Dig with care"), ...cautionsUnder("Read with care")]
    ) {
      expect(lead + text).not.toMatch(/\*\*|\n/);
      expect(lead.length).toBeGreaterThan(0);
    }
  });
  test("throws where there is no such section: no page is made without its stop rules", () => {
    expect(() => cautionsUnder("Go")).toThrow(RangeError);
    expect(() => cautionsUnder("Go")).toThrow(
      'Cannot make a page for the field: the cautions must have rules under "Go", got none',
    );
  });
});

describe("cautionHtml()", () => {
  test("puts a colon where the sentence goes on, a full stop where one begins or nothing follows, and escapes", () => {
    expect(cautionHtml({ lead: "Thunder", text: "go home." })).toBe("<strong>Thunder:</strong> go home.");
    expect(cautionHtml({ lead: "Bones", text: "Leave them." })).toBe("<strong>Bones.</strong> Leave them.");
    expect(cautionHtml({ lead: "Bones", text: "" })).toBe("<strong>Bones.</strong>");
    expect(cautionHtml({ lead: "", text: "a < b" })).toBe("a &#60; b");
  });
});

describe("stopPanel()", () => {
  test("has every rule; brief, the first in full and the others by their first words", () => {
    const full = stopPanel(), brief = stopPanel({ brief: true, level: 3 });
    for (const { lead, text } of cautionsUnder("Stop")) {
      expect(full).toContain(lead);
      expect(full).toContain(text);
      expect(brief).toContain(lead);
    }
    expect(brief).toContain("fuzed shell");
    expect(brief).not.toContain("ring the police");
    expect(brief).toContain("<h3>");
  });
  test("with care, tells of storm, livestock, sharp and toxic things", () => {
    expect(stopPanel({ care: true })).toMatch(/Thunder, livestock.*go home.*Sharp and toxic/);
    expect(stopPanel()).not.toContain("livestock");
  });
});
