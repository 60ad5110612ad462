import { parseHTML } from "linkedom";
import { describe, expect, test } from "vitest";
import { driftOfTrials, fitDragCurves } from "../../lib/garden/mod.ts";
import { gardenAnswer } from "../../lib/figures/garden_answer.ts";
import { gardenDragByGap } from "../../lib/figures/garden_drag_by_gap.ts";
import { gardenDriftByGap } from "../../lib/figures/garden_drift_by_gap.ts";
import { gardenDriftTable } from "../../lib/figures/garden_drift_table.ts";
import { gardenHalfGaps } from "../../lib/figures/garden_half_gaps.ts";
import { gardenHalfGapTable } from "../../lib/figures/garden_half_gap_table.ts";
import { gardenMeanDriftTable } from "../../lib/figures/garden_mean_drift_table.ts";
import { gardenTrialCounts } from "../../lib/figures/garden_trial_counts.ts";
import { garden, silentPasses, simulateGarden } from "../garden/_gardens.ts";

const hostile = '<script>alert("x")</script>';
const log = simulateGarden([{ neighbour: "large", q: 80 }, { neighbour: "tack", q: -60 }, {
  neighbour: hostile,
  q: 30,
}], { seed: 1, blocks: 6, trialsPerBlock: 15 });
const drift = driftOfTrials(log);
const curves = fitDragCurves(drift);

const svgOf = (text: string) => parseHTML(`<html><body>${text}</body></html>`).document.querySelector("svg")!;

describe.each([
  ["gardenDriftByGap", gardenDriftByGap(drift, curves)],
  ["gardenDragByGap", gardenDragByGap(drift, curves)],
  ["gardenHalfGaps", gardenHalfGaps(curves)],
])("%s()", (name, svg) => {
  test("is an image with an alternative text that carries the answer, and no script", () => {
    const root = svgOf(svg);
    expect(root.getAttribute("role")).toBe("img");
    expect(root.getAttribute("aria-label")).toMatch(/never/);
    expect(root.getAttribute("aria-label")).toMatch(/Machine A/);
    expect(svg).not.toContain("<script");
    expect(root.textContent).toContain("large");
  });

  test("writes no number with more than two decimals, and the same bytes again", () => {
    expect(svg).not.toMatch(/\d\.\d{3}/);
    const again = {
      gardenDriftByGap: () => gardenDriftByGap(drift, curves),
      gardenDragByGap: () => gardenDragByGap(drift, curves),
      gardenHalfGaps: () => gardenHalfGaps(curves),
    }[name]!();
    expect(again).toBe(svg);
  });
});

describe("gardenHalfGaps()", () => {
  test("labels two pairs once each: it once wrote ticks between them, without a name", () => {
    const two = curves.slice(0, 2);
    const texts = [...svgOf(gardenHalfGaps(two)).querySelectorAll('g[text-anchor="end"] text')]
      .map((text) => text.textContent);
    expect(two.length).toBe(2);
    expect(texts.length).toBe(2);
    expect(new Set(texts).size).toBe(2);
    expect(texts.join()).not.toContain("undefined");
  });
});

describe("gardenDriftByGap()", () => {
  test("draws every trial and direction once, right and left by shape", () => {
    // Ticks of the axes are open lines; the rest are symbols.
    const marks = [...svgOf(gardenDriftByGap(drift, curves)).querySelectorAll("path[transform]")]
      .filter((mark) => !/^M0,0L/.test(mark.getAttribute("d")!));
    const halfGaps = curves.filter((curve) => "value" in curve.halfGapCm).length;
    expect(marks.length).toBe(drift.rows.length + halfGaps);
    // One outline for circles, one for squares, one for the half gap's diamond.
    expect(new Set(marks.map((mark) => mark.getAttribute("d"))).size).toBe(3);
  });

  test("refuses curves of two machines: their reading units differ", () => {
    const other = { ...curves[0]!, pair: { ...curves[0]!.pair, machine: "Machine B" } };
    expect(() => gardenDriftByGap(drift, [curves[0]!, other])).toThrow(
      new RangeError("Cannot draw drift by gap: need the pairs of one machine, got 2 machines"),
    );
  });
});

describe("the garden's tables and sentences", () => {
  test("gardenHalfGapTable() records a half gap or an absence with its reason for every pair", () => {
    const { recorded } = gardenHalfGapTable(drift, curves);
    const halves = recorded.results.filter((each) => each.id === "garden.halfGapCm");
    expect(halves).toHaveLength(3);
    for (const half of halves) {
      expect(half.of).toMatchObject({ machine: "Machine A", target: "disc" });
      if ("value" in half) expect(half.interval.low).toBeLessThan(half.interval.high);
      else expect(half.absent).toMatch(/never|cannot tell yet/);
    }
  });

  test("gardenDriftTable() has a drift with its interval for every neighbour and gap laid", () => {
    const { recorded, html } = gardenDriftTable(drift, curves);
    expect(recorded.results).toHaveLength(curves.reduce((sum, curve) => sum + curve.gaps.length, 0));
    expect(recorded.results.every((each) => each.unit === "reading units")).toBe(true);
    expect(html).not.toContain("<script");
  });

  test("gardenMeanDriftTable() counts every trial once", () => {
    const counts = gardenMeanDriftTable(drift, curves).recorded.results.filter((each) =>
      each.id === "garden.trialsAtGap"
    );
    expect(counts.reduce((sum, each) => sum + ("value" in each ? each.value : 0), 0)).toBe(
      drift.counts.together,
    );
  });

  test("gardenTrialCounts() accounts for every reading: used, silent or set aside", () => {
    const trials = log.trials.map((each, i) =>
      each.neighbour !== null && each.target !== null && i % 5 === 0
        ? { ...each, right: silentPasses, gap_cm: i % 2 === 0 ? null : each.gap_cm }
        : each
    );
    const found = driftOfTrials({ ...log, trials });
    const aside = found.setAside.reduce((sum, each) => sum + (each.direction === "both" ? 2 : 1), 0);
    expect(found.rows.length + found.silent.length + aside).toBe(2 * found.counts.together);
    const table = gardenTrialCounts(found).recorded.tables[0]!;
    expect(table.n).toBe(aside + found.rows.filter((row) => row.noDrag !== null).length);
  });

  test("gardenAnswer() opens with the neighbour that reaches furthest", () => {
    expect(gardenAnswer(drift, curves).text).toMatch(
      /^\*\*On Machine A, the large drags the disc half way to its own reading at a gap of \d/,
    );
    expect(gardenAnswer(driftOfTrials(garden([])), []).text).toMatch(
      /no trial of a target beside a neighbour yet/,
    );
  });

  test("gardenAnswer() says when no pair has a half gap", () => {
    const weak = driftOfTrials(simulateGarden([{ neighbour: "tack", q: -60 }], { seed: 2 }));
    expect(gardenAnswer(weak, fitDragCurves(weak)).text).toMatch(
      /^\*\*On Machine A no pair of objects has a half gap/,
    );
  });
});
