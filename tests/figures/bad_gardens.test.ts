import { describe, expect, test } from "vitest";
import {
  gardenAboveBreakTable,
  gardenAnswer,
  gardenBootstrapTable,
  gardenDragByGap,
  gardenDriftByGap,
  gardenDriftTable,
  gardenHalfGaps,
  gardenHalfGapTable,
  gardenKinds,
  gardenNextTable,
  gardenOneScale,
  gardenResiduals,
  gardenSilence,
  gardenTrialCounts,
} from "../../lib/figures/mod.ts";
import {
  aboveBreak,
  bootstrapHalfGaps,
  driftOfTrials,
  fitDragCurves,
  halfGapsOfKind,
  knownLoudness,
  nextTrials,
  silentPasses,
} from "../../lib/garden/mod.ts";
import { bad } from "../garden/_bad_gardens.ts";

const missing: Readonly<Record<string, RegExp>> = {
  "no trials": /Lay both at four gaps or more, each with the target alone and the neighbour alone/,
  "no control trials": /Lay the target alone and the neighbour alone once in every block/,
  "no target alone": /Lay the target alone and the neighbour alone once in every block/,
  "one gap only": /A curve needs 4 distinct gaps, this pair has 1\. Lay 3 more gaps next/,
  "all readings silent": /silence is not a number\. Lay wider gaps, or switch off what silences iron/,
  "everything silent": /Lay wider gaps, or switch off what silences iron|Lay the target alone/,
  "gaps in two units": /Write all gaps in centimetres/,
  "negative gaps": /A gap cannot be below 0, got -2\. Lay four gaps next, such as 0, 2, 5 and 10 cm/,
  "three controls in all": /Lay both at four gaps or more/,
  "three trials in all": /A curve needs 4 distinct gaps, this pair has 1\. Lay 3 more gaps next/,
};

describe("the garden notebook's parts on gardens that lack something", () => {
  for (const [name, garden] of Object.entries(bad)) {
    test(`${name}: shown without a number that is none`, () => {
      const drift = driftOfTrials(garden), curves = fitDragCurves(drift);
      const answer = gardenAnswer(drift, curves);
      const shown = [
        answer,
        gardenTrialCounts(drift),
        gardenHalfGapTable(drift, curves),
        gardenAboveBreakTable(aboveBreak(garden, drift)),
        gardenKinds(halfGapsOfKind(curves)),
        gardenSilence(silentPasses(garden, { drift, curves })),
        gardenBootstrapTable(bootstrapHalfGaps(drift), curves),
        gardenNextTable(nextTrials(drift, { curves })),
        ...(curves.length > 0
          ? [
            gardenDriftTable(drift, curves),
            gardenOneScale(drift, curves, { loudness: knownLoudness(garden), id: "collapse-1" }),
          ]
          : []),
      ];
      const drawn = curves.length === 0 ? [] : [
        gardenDriftByGap(drift, curves),
        gardenDragByGap(drift, curves),
        gardenHalfGaps(curves),
        gardenResiduals(drift, curves),
      ];
      for (const text of [...shown.map((each) => each.text), ...drawn]) {
        expect(text).not.toMatch(/NaN|undefined|Infinity/);
      }
      if (missing[name] !== undefined) expect(answer.text).toMatch(missing[name]);
    });
  }
});
