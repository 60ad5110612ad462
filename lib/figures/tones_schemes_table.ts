import { present } from "../numbers/mod.ts";
import type { GardenSchemeComparison, SchemeComparison } from "../tones/mod.ts";
import { inSightFirst } from "./in_sight_first.ts";
import { folded, show, type Shown, stated, table } from "./show.ts";
import { tonesArmWords } from "./tones_arm_words.ts";

/**
 * Shows what each tone scheme does with the same readings: one table a machine for the season, the one with
 * most dug signals in sight, and folded one a machine for the garden.
 *
 * @example
 * ```ts
 * import { tonesSchemesTable } from "overiron";
 * if (tonesSchemesTable([], []).text !== "") throw new Error("nothing compared, nothing shown");
 * ```
 */
export function tonesSchemesTable(
  season: readonly SchemeComparison[],
  garden: readonly GardenSchemeComparison[],
): Shown {
  const arms = <Row extends { readonly of: Readonly<Record<string, string>> }>(rows: readonly Row[]) =>
    [...new Set(rows.map(({ of }) => tonesArmWords(of)))].map((arm) => ({
      arm,
      own: rows.filter(({ of }) => tonesArmWords(of) === arm),
    }));
  return show(
    inSightFirst(
      arms(season).sort((a, b) => dug(b.own) - dug(a.own)).map(({ arm, own }) => ({
        label: `The same on ${arm}`,
        shown: table({
          caption:
            `${arm}, dug signals: what sounds above the lowest band. Differences are paired with the machine's own ` +
            `scheme; intervals by site. McNemar's mid p value takes the signals as independent`,
          columns: [
            "scheme",
            "masked goods heard",
            "minus own",
            "p (McNemar)",
            "iron heard",
            "minus own",
            "masked goods in the band next to the lowest",
          ],
          rows: own.map((one) => [
            one.of.scheme ?? "",
            stated("tones.schemeMaskedHeard", one.of, one.maskedHeard, { form: "interval" }),
            difference("tones.schemeMaskedDifference", one.of, one.maskedDifference, one.own),
            one.own ? "" : mcnemarCell(one),
            stated("tones.schemeIronHeard", one.of, one.ironHeard, { form: "interval" }),
            difference("tones.schemeIronDifference", one.of, one.ironDifference, one.own),
            stated("tones.schemeNextIsGood", one.of, one.nextIsGood, { form: "interval" }),
          ]),
        }),
      })),
    ),
    ...(garden.length === 0
      ? []
      : [folded("The same schemes in the test garden", show(...gardenTables(arms(garden))))]),
  );
}

/** Dug masked goods and iron that a machine's schemes are judged on. */
const dug = ([one]: readonly SchemeComparison[]): number =>
  one === undefined ? 0 : (one.maskedHeard.n.signals ?? 0) + (one.ironHeard.n.signals ?? 0);

const gardenTables = (
  arms: readonly { readonly arm: string; readonly own: readonly GardenSchemeComparison[] }[],
): Shown[] =>
  arms.map(({ arm, own }) =>
    table({
      caption:
        `${arm}, test garden, all gaps: how often a neighbour moves a target into another band. Intervals by block`,
      columns: ["scheme", "moved or silenced", "minus own", "bands dropped"],
      rows: own.map((one) => [
        one.of.scheme ?? "",
        stated("tones.schemeMoved", one.of, one.moved, { form: "interval" }),
        difference("tones.schemeMovedDifference", one.of, one.movedDifference, one.own),
        stated("tones.schemeDropped", one.of, one.dropped, { form: "interval" }),
      ]),
    })
  );

function mcnemarCell({ of, maskedTest }: SchemeComparison): ReturnType<typeof stated> {
  if ("absent" in maskedTest) return stated("tones.schemeMcnemarP", of, maskedTest, { form: "interval" });
  const { pMid, disagreements } = maskedTest;
  const method = "McNemar's test, mid p value, signals taken as independent";
  const estimate = present(pMid, { low: pMid, high: pMid, level: 1, method }, { disagreements });
  const shown = stated("tones.schemeMcnemarP", of, estimate, { form: "value", decimals: 3 });
  return pMid < 0.001 ? { ...shown, words: "under 0.001" } : shown;
}

function difference(
  id: string,
  of: Readonly<Record<string, string>>,
  estimate: Parameters<typeof stated>[2],
  own: boolean,
): ReturnType<typeof stated> | string {
  return own ? "" : stated(id, of, estimate, { form: "interval" });
}
