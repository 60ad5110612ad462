import { parseHTML } from "linkedom";
import { beforeAll, describe, expect, test } from "vitest";
import {
  gardenAboveBreak,
  gardenAboveBreakTable,
  gardenBootstrapTable,
  gardenCollapse,
  gardenComparisonAnswer,
  gardenComparisonTable,
  gardenFormAnswer,
  gardenFormTable,
  gardenKinds,
  gardenKnownCollapse,
  gardenNextTable,
  gardenOneScale,
  gardenProofAnswers,
  gardenResiduals,
  gardenSilence,
  type Shown,
} from "../../lib/figures/mod.ts";
import {
  aboveBreak,
  bootstrapHalfGaps,
  compareAdditive,
  compareForms,
  compareHalfGaps,
  driftOfTrials,
  fitDragCurves,
  halfGapsOfKind,
  nextTrials,
  proveGarden,
  silentPasses,
  simulatedGarden,
} from "../../lib/garden/mod.ts";
import type { Garden } from "../../lib/log/mod.ts";

const plain = simulatedGarden([{ name: "large nail", qCm2: 90 }, { name: "small nail", qCm2: 30 }], {
  seed: 3,
  blocks: 8,
});
/** Every fifth trial of the large nail close by is silent going right. */
const garden: Garden = {
  ...plain,
  trials: plain.trials.map((trial, i) =>
    trial.neighbour === "large nail" && trial.gap_cm !== null && trial.gap_cm < 4 && i % 2 === 0
      ? { ...trial, right: { ...trial.right!, written: "x x", readings: [], silent: 2, passes: 2 } }
      : trial
  ),
};
const drift = driftOfTrials(garden), curves = fitDragCurves(drift);
const ids = (shown: Shown) => [...new Set(shown.recorded.results.map((each) => each.id))].sort();
/** Marks drawn with an opacity of their own: the readings, not ticks and legend. */
const dots = (svg: string) =>
  parseHTML(svg).document.querySelectorAll("g[fill-opacity] > path[transform], g[fill-opacity] > circle")
    .length;

describe("figures of a garden's checks", () => {
  test("gardenAboveBreak() draws a dot a trial, and its table states the shares alone beside those together", () => {
    const found = aboveBreak(garden, drift), svg = gardenAboveBreak(found);
    const trials = found.reduce((sum, each) => sum + each.points.length, 0);
    expect(dots(svg)).toBe(trials);
    expect(svg).toMatch(
      /aria-label="Share of passes on or above the iron break against gap on Machine A, 2 small plots/,
    );
    const table = gardenAboveBreakTable(found);
    expect(ids(table)).toEqual(expect.arrayContaining([
      "garden.aboveBreakAtGap",
      "garden.aboveBreakNeighbour",
      "garden.aboveBreakTarget",
      "garden.stepOverNeighbour",
    ]));
    expect(table.text).not.toMatch(/NaN|undefined|null/);
  });

  test("gardenResiduals() and gardenCollapse() draw every reading of a fitted pair", () => {
    const fitted = drift.rows.filter((row) => row.drag !== null).length;
    expect(dots(gardenResiduals(drift, curves))).toBe(fitted);
    const collapse = gardenCollapse(drift, curves);
    const outside = Number(/; (\d+) further out/.exec(collapse)?.[1] ?? 0);
    expect(dots(collapse)).toBe(fitted - outside);
    expect(() => gardenResiduals(drift, [])).toThrow(
      "Cannot draw residuals: need the pairs of one machine, got 0 machines",
    );
  });

  test("gardenOneScale() draws known loudness where it is known, and names the fitted one as such", () => {
    const trials = new Set(drift.rows.map((row) => row.trial_id));
    const all = new Map([...trials].map((id) => [id, { loudnessRatio: 0.5, phaseDifferenceDeg: 130 }]));
    const known = gardenKnownCollapse(drift, curves, { loudness: all });
    expect(dots(known)).toBe(drift.rows.filter((row) => row.drag !== null).length);
    expect(known).toContain("the line of two signals 130 degrees apart");
    expect(() => gardenKnownCollapse(drift, curves, { loudness: new Map() })).toThrow(
      new RangeError("Cannot draw drag by known loudness: need a reading whose loudness is known, got 0"),
    );
    const shown = (loudness: typeof all) =>
      gardenOneScale(drift, curves, { loudness, id: "collapse-1" }).text;
    expect(shown(all)).toContain("without any fit");
    expect(shown(all)).not.toContain("as fitted");
    expect(shown(new Map())).toContain("as fitted");
    const first = new Map(
      drift.rows.filter((row) => row.pair === curves[0]!.pair.key).map((
        row,
      ) => [row.trial_id, all.get(row.trial_id)!]),
    );
    expect(shown(first)).toMatch(/without any fit[^]*the pairs whose loudness does not follow from the log/);
  });

  describe("tables", () => {
    let forms: Shown;
    beforeAll(() => {
      forms = gardenFormTable(compareForms(drift), compareAdditive(drift));
    });

    test("gardenFormTable() has a row a form and records error and difference", () => {
      expect(forms.text.split("\n").length).toBe(2 + 7);
      expect(ids(forms)).toEqual(["garden.formDifference", "garden.formError"]);
    });

    test("gardenFormAnswer() puts every rival into one of three lists", () => {
      const found = compareForms(drift), { text } = gardenFormAnswer(found);
      for (const { form, verdict } of found[0]!.scores) {
        if (verdict === "the curve in use") continue;
        const list = verdict === "better"
          ? /better than the curve in use: ([^;]+)/
          : verdict === "worse"
          ? /worse: ([^;]+)/
          : /cannot tell: ([^;]+)/;
        expect(list.exec(text)?.[1]).toContain(form);
      }
    });

    test("gardenComparisonTable() prints the smallest possible p beside p, and the answer counts them", () => {
      const compared = compareHalfGaps(garden, { drift, by: "order" });
      const table = gardenComparisonTable(compared);
      expect(ids(table)).toEqual(["garden.comparisonP", "garden.halfGapDifferenceCm", "garden.smallestP"]);
      const smallest = table.recorded.results.filter((each) => each.id === "garden.smallestP");
      expect(smallest.every((each) => "value" in each && each.value > 0)).toBe(true);
      expect(table.text).not.toMatch(/\| 0\.000 \|/);
      expect(gardenComparisonAnswer(compared).text).toMatch(
        /Two orders in which the coil meets the two: \**of 2 pairs tested \d gave a p under 0\.05/,
      );
    });

    test("gardenSilence() says whether the half gap moves by more than its interval", () => {
      const shown = gardenSilence(silentPasses(garden, { drift, curves }));
      expect(ids(shown)).toEqual([
        "garden.halfGapCm",
        "garden.halfGapSilentAsNeighbourCm",
        "garden.silentPasses",
      ]);
      expect(shown.text).toMatch(/\| (agree|differ by more than the interval)$/m);
    });

    test("gardenKinds() gives the range of a kind beside the widest interval of one", () => {
      expect(gardenKinds(halfGapsOfKind(curves)).text).toMatch(
        /^Beside disc on Machine A, half gaps of 2 layings of the kind nail run from [\d.]+.cm to [\d.]+.cm; the widest interval of a single one is [\d.]+.cm\./,
      );
      const lone = halfGapsOfKind(curves).map((each) => ({ ...each, never: 1 }));
      expect(gardenKinds(lone).text).toMatch(
        /of 2 layings of the kind nail only one has a half gap, [\d.]+.cm\.\s+Of these layings 1 never reach a half gap and 0 cannot be told yet\.$/,
      );
    });

    test("gardenNextTable() says what to lay, and gardenBootstrapTable() why nothing is drawn anew", () => {
      const next = gardenNextTable(nextTrials(drift, { curves }));
      expect(next.text).toMatch(/large nail \| [\d., a-z()]+ \| [\d.]+ cm \| [\d.]+.cm/);
      expect(gardenNextTable([]).text).toBe("No pair is left whose half gap more trials would narrow.");
      expect(gardenBootstrapTable(bootstrapHalfGaps(drift), curves).text).toMatch(
        /^No pair was laid in thirty blocks/,
      );
    });
  });

  test("gardenProofAnswers() draws six plots and refuses none", () => {
    const svg = gardenProofAnswers(proveGarden({ gardens: 4 }));
    expect(svg.match(/blocks of 1[23]</g)!.length).toBe(6);
    expect(() => gardenProofAnswers({ schema: "overiron-garden-proof/1", seed: 1, gardens: 0, kinds: [] }))
      .toThrow(
        new RangeError("Cannot draw answers: need a kind of garden, got 0"),
      );
  });
});
