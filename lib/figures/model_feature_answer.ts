import { type Estimate, isPresent } from "../numbers/mod.ts";
import type { FeatureSays, LearningTable } from "../model/mod.ts";
import { featureWords, ofTable, tableLabel, tellsApart } from "./_model_labels.ts";
import { say, show, type Shown, stated } from "./show.ts";

function sentence(table: LearningTable, says: FeatureSays, groups: string): Shown {
  const about = { ...ofTable(table), feature: says.feature };
  const name = featureWords[says.feature] ?? says.feature;
  const state = (pair: string, estimate: Estimate) =>
    stated("model.higherChance", { ...about, pair }, estimate, { form: "interval" });
  const goods = state("good above ferrous", says.goodAboveFerrous);
  const masked = state("masked good above other non-ferrous", says.maskedAbovePlain);
  const known = isPresent(says.goodAboveFerrous) || isPresent(says.maskedAbovePlain);
  if (!known) return say`**The ${name}** is on too few signals or ${groups} to say anything.`;
  const a = tellsApart(says.goodAboveFerrous), b = tellsApart(says.maskedAbovePlain);
  if (!a && !b) {
    return say`**The ${name} says nothing these ${groups} can show**: goods had the higher value in ${goods} of pairs with a ferrous signal, masked goods in ${masked} of pairs with another non-ferrous one, and half is chance.`;
  }
  const both = say`**The ${name} ${
    a && b
      ? "parts goods from ferrous, and masked goods from the others"
      : a
      ? "parts goods from ferrous, but masked goods from the others not clearly"
      : "does not clearly part goods from ferrous, but masked goods from the others"
  }**: goods had the higher value in ${goods} of pairs with a ferrous signal, masked goods in ${masked} of pairs with another non-ferrous one.`;
  return both;
}

/**
 * Answers what each feature alone says about the hole, a sentence a feature: whether it parts goods from ferrous, and masked
 * goods from other non-ferrous finds, with the chance of the higher value and its interval by site. `groups` names what the
 * intervals go by, "sites" unless told.
 *
 * @example
 * ```ts
 * import { modelFeatureAnswer } from "overiron";
 * const none = new Int32Array(0);
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * const x = { n: 0, names: ["centre"], columns: [new Float64Array(0)], whyMissing: [new Uint8Array(0)], groups: { site: none, outing: none, observer: none } };
 * const leftOut = { unknown: 0, "nothing-found": 0, stopped: 0, hazard: 0, "not-dug": 0 };
 * const table = { machine, discrimination: "none" as const, signals: [], x, outcome: new Uint8Array(0), leftOut };
 * if (modelFeatureAnswer(table, []).recorded.results.length !== 0) throw new Error("a number from nothing");
 * ```
 */
export function modelFeatureAnswer(
  table: LearningTable,
  says: readonly FeatureSays[],
  options: { readonly groups?: string } = {},
): Shown {
  const { groups = "sites" } = options;
  return show(
    say`On ${tableLabel(table)}, one feature at a time:`,
    ...says.map((each) => sentence(table, each, groups)),
  );
}
