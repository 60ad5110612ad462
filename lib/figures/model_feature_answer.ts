import type { FeatureSays, LearningTable } from "../model/mod.ts";
import { featureName, listed, ofTable, tableLabel, tellsApart } from "./_model_labels.ts";
import { sayPieces } from "./_say_pieces.ts";
import { say, show, type Shown, type Stated, stated } from "./show.ts";

type Piece = Stated | string;

const nameOf = ({ feature }: FeatureSays): string => featureName(feature);

/** The features that part one kind from another, each with the chance of the higher value. */
function parting(
  table: LearningTable,
  says: readonly FeatureSays[],
  pair: { readonly key: "goodAboveFerrous" | "maskedAbovePlain"; readonly of: string; readonly lead: string },
): Shown {
  const clear = says.filter((each) => tellsApart(each[pair.key]));
  const pieces = clear.flatMap((each, i): Piece[] => [
    `${i === 0 ? "" : "; "}${nameOf(each)} `,
    stated(
      "model.higherChance",
      { ...ofTable(table), feature: each.feature, pair: pair.of },
      each[pair.key],
      {
        form: "interval",
      },
    ),
  ]);
  return sayPieces([
    `**${pair.lead}**: `,
    ...(pieces.length === 0 ? ["no feature does so clearly"] : pieces),
    ".",
  ]);
}

/**
 * Answers what each feature alone says about the hole in three lines: which features part goods from ferrous, and which masked
 * goods from other non-ferrous finds, with the chance of the higher value and its interval by site, and which say nothing.
 * `groups` names what the intervals go by, "sites" unless told.
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
  const label = tableLabel(table);
  const silent = says.filter((each) =>
    !tellsApart(each.goodAboveFerrous) && !tellsApart(each.maskedAbovePlain)
  ).map(nameOf);
  return show(
    parting(table, says, {
      key: "goodAboveFerrous",
      of: "good above ferrous",
      lead: `On ${label} goods have a higher or lower value than ferrous`,
    }),
    parting(table, says, {
      key: "maskedAbovePlain",
      of: "masked good above other non-ferrous",
      lead: "Masked goods than other non-ferrous finds",
    }),
    ...(silent.length === 0 ? [] : [say`Nothing these ${groups} can show: ${listed(silent)}.`]),
  );
}
