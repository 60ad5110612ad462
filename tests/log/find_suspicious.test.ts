import { describe, expect, test } from "vitest";
import { loadDigLog, SUSPICIOUS } from "../../lib/log/mod.ts";
import { rankCorrelation } from "../../lib/log/_rank_correlation.ts";
import { file, oneMachine } from "./_helpers.ts";

/** The flags of a log of rows given as objects; every row has an id, a site and readings unless it says otherwise. */
async function flagsOf(rows: readonly Readonly<Record<string, string | number>>[]) {
  const filled = rows.map((row, i) => ({
    signal_id: `S${i}`,
    site: "A",
    readings_right: "300 310",
    readings_left: "305",
    ...row,
  }));
  const headings = [...new Set(filled.flatMap((row) => Object.keys(row)))];
  const text = [
    headings,
    ...filled.map((row) => headings.map((heading) => (row as Record<string, unknown>)[heading] ?? "")),
  ]
    .map((cells) => cells.map((cell) => `"${cell}"`).join(",")).join("\n");
  const { report } = await loadDigLog(file(text), oneMachine);
  return new Map(report.flags.map((flag) => [flag.text, flag]));
}
const repeat = (count: number, make: (i: number) => Record<string, string | number>) =>
  Array.from({ length: count }, (_, i) => make(i));

describe("findSuspicious() flags, and leaves alone", () => {
  test("readings all equal, from four on", async () => {
    const flags = await flagsOf([
      { readings_right: "300 300", readings_left: "300" },
      { readings_right: "300 300", readings_left: "300 300" },
      { readings_right: "300 300", readings_left: "300 301" },
      { readings_right: "300 x 4", readings_left: "x" },
    ]);
    expect(flags.get(SUSPICIOUS.allEqual)).toEqual({
      role: "dig-log",
      column: "readings_right",
      text: "All readings of a signal, four or more, are equal: was one number copied for every pass?",
      count: 2,
      first: { file: "log.csv", line: 3, value: "300 300 | 300 300" },
    });
  });

  test("depths that are all round, from ten on", async () => {
    const round = (depth: (i: number) => number, count = 10) =>
      flagsOf(repeat(count, (i) => ({ metal: "ferrous", depth_cm: depth(i), depth_indicated: 7 })));
    expect((await round((i) => 5 * i)).get(SUSPICIOUS.roundFindDepths)?.count).toBe(10);
    expect((await round((i) => 5 * i)).has(SUSPICIOUS.roundShownDepths)).toBe(false);
    expect((await round((i) => 5 * i, 9)).has(SUSPICIOUS.roundFindDepths)).toBe(false);
    expect((await round((i) => i === 4 ? 12 : 5)).has(SUSPICIOUS.roundFindDepths)).toBe(false);
    const shown = await flagsOf(repeat(10, () => ({ depth_indicated: 10 })));
    expect(shown.get(SUSPICIOUS.roundShownDepths)?.first.line).toBe(2);
  });

  test("two signals at one place and minute", async () => {
    const at = { date: "2025-03-08", latitude: 1.5, longitude: 2 };
    const flags = await flagsOf([
      { ...at, seen_at: "08:15" },
      { ...at, seen_at: "2025-03-08T08:15:59" },
      { ...at, seen_at: "08:16" },
      { ...at, latitude: 1.6, seen_at: "08:15" },
    ]);
    expect(flags.get(SUSPICIOUS.samePlace)).toMatchObject({ count: 1, first: { line: 3 } });
    const sites = await flagsOf([
      { date: "2025-03-08", seen_at: "08:15", observer: "Ines" },
      { date: "2025-03-08", seen_at: "08:15", observer: "Ines" },
      { date: "2025-03-08", seen_at: "08:15", observer: "Bo" },
      { date: "2025-03-09", seen_at: "08:15", observer: "Ines" },
    ]);
    expect(sites.get(SUSPICIOUS.sameSite)).toMatchObject({ count: 1, first: { line: 3 } });
    expect((await flagsOf([{ seen_at: "08:15" }, { seen_at: "08:15" }])).has(SUSPICIOUS.sameSite)).toBe(
      false,
    );
  });

  test("an outcome known of a signal that was not dug", async () => {
    const flags = await flagsOf([
      { dug: "no", outcome_stated: "ferrous" },
      { dug: "no", outcome_stated: "unknown" },
      { dug: "yes", outcome_stated: "ferrous" },
    ]);
    expect(flags.get(SUSPICIOUS.undugOutcome)).toMatchObject({
      count: 1,
      first: { line: 2, value: "ferrous" },
    });
    const found = await flagsOf([{ dug: "no", metal: "ferrous" }, {}]);
    expect(found.get("A signal that was not dug has a find or a result")?.count).toBe(1);
  });

  test("a site with one signal among others", async () => {
    const flags = await flagsOf([{ site: "Hay wharf" }, { site: "Hay wharf" }, { site: "Hay warf" }]);
    expect(flags.get(SUSPICIOUS.loneSite)).toMatchObject({ count: 1, first: { line: 4, value: "Hay warf" } });
    expect((await flagsOf([{ site: "Hay wharf" }])).has(SUSPICIOUS.loneSite)).toBe(false);
  });

  test("a masked good without any iron noted", async () => {
    const good = { dug: "yes", outcome_stated: "masked-good", metal: "non-ferrous", keep: "yes" };
    const flags = await flagsOf([
      { ...good },
      { ...good, iron_evidence: "in-hole" },
      { ...good, iron_near: "some", iron_evidence: "none" },
      { ...good, metal_2: "ferrous" },
      { ...good, iron_evidence: "not-looked", iron_near: "not-looked" },
    ]);
    expect(flags.get(SUSPICIOUS.maskedNoIron)).toMatchObject({ count: 2, first: { line: 2 } });
  });

  test("a find called ferrous that a magnet did not hold", async () => {
    const flags = await flagsOf([
      { dug: "yes", outcome_stated: "ferrous", metal: "non-ferrous" },
      { dug: "yes", outcome_stated: "ferrous", metal: "ferrous" },
      { dug: "yes", metal: "non-ferrous", what: "bent nail" },
      { dug: "yes", metal: "non-ferrous", what: "Brass nail" },
      { dug: "yes", metal: "ferrous", what: "iron ring" },
    ]);
    expect(flags.get(SUSPICIOUS.statedFerrous)).toMatchObject({ count: 1, first: { line: 2 } });
    expect(flags.get(SUSPICIOUS.namedIron)).toMatchObject({
      count: 1,
      first: { line: 4, value: "bent nail" },
    });
  });

  test("passes that grow with the reading, from thirty signals on", async () => {
    const grown = (count: number, passes: (i: number) => number) =>
      flagsOf(repeat(count, (i) => ({
        readings_right: Array.from({ length: passes(i) }, (_, k) => 200 + 10 * i + k).join(" "),
        readings_left: "",
      })));
    expect((await grown(30, (i) => 1 + Math.floor(i / 6))).get(SUSPICIOUS.passesGrow)?.first.value).toMatch(
      /^rank correlation 0\.9/,
    );
    expect((await grown(29, (i) => 1 + Math.floor(i / 6))).has(SUSPICIOUS.passesGrow)).toBe(false);
    expect((await grown(30, (i) => 1 + i % 3)).has(SUSPICIOUS.passesGrow)).toBe(false);
    expect((await grown(30, () => 3)).has(SUSPICIOUS.passesGrow)).toBe(false);
    expect((await grown(30, (i) => 6 - Math.floor(i / 6))).has(SUSPICIOUS.passesGrow)).toBe(false);
  });
});

test("rankCorrelation() gives the textbook values", () => {
  // Without ties, by Spearman's 1 - 6 sum(d^2) / (n (n^2 - 1)): the ranks of y are 2, 1, 3, 5, 4, so sum(d^2) is 4.
  const found = rankCorrelation([1, 2, 3, 4, 5], [20, 10, 30, 60, 40]);
  expect(found!.rho).toBeCloseTo(1 - 6 * 4 / (5 * 24), 12);
  expect(found!.z).toBeCloseTo(2 * found!.rho, 12);
  // With ties, by hand: mid-ranks 1, 2.5, 2.5, 4 against 1, 3, 2, 4 have products 4.5, squares 4.5 and 5.
  expect(rankCorrelation([1, 2, 2, 3], [1, 3, 2, 4])!.rho).toBeCloseTo(4.5 / Math.sqrt(4.5 * 5), 12);
  expect(rankCorrelation([1, 1, 1], [1, 2, 3])).toBeNull();
});
