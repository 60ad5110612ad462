import { type Absent, absent, counted } from "../numbers/mod.ts";
import {
  type AllSignals,
  type DugWeights,
  type OutcomeAmongAll,
  OUTCOMES,
  ratioBySite,
  type SignalTable,
} from "../model/mod.ts";
import { ofTable, tableLabel } from "./_model_labels.ts";
import { plainWord } from "./plain_word.ts";
import { say, show, type Shown, stated, table as showTable } from "./show.ts";

/**
 * Shows what the dug signals say of all signals: the share of each outcome among the dug, among all by strata (at least, at most)
 * and by weights, with what each leans on. Where neither can be had it says why.
 *
 * @example
 * ```ts
 * import { absent, modelAllSignalsTable } from "overiron";
 * const none = new Int32Array(0);
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * const x = { n: 0, names: [], columns: [], whyMissing: [], groups: { site: none, outing: none, observer: none } };
 * const why = absent("none passed", "Every signal was dug", { signals: 0 });
 * const { text } = modelAllSignalsTable({ machine, discrimination: "none", signals: [], x }, { strata: why, weights: why });
 * if (!text.includes("Every signal was dug")) throw new Error(text);
 * ```
 */
export function modelAllSignalsTable(
  table: SignalTable,
  found: { readonly strata: AllSignals | Absent; readonly weights: DugWeights | Absent },
): Shown {
  const { strata, weights } = found, of = ofTable(table), name = tableLabel(table);
  if ("absent" in strata) {
    return say`On ${name} the dug cannot speak for all signals: ${
      stated("model.amongAll", { ...of, bound: "at least" }, strata)
    }.`;
  }
  const short = { form: "interval" } as const;
  const weighted = (outcome: number) =>
    "absent" in weights ? weights : ratioBySite(
      Array.from(
        weights.rows,
        (row, i) => table.signals[row]!.outcome.class === OUTCOMES[outcome as 0] ? weights.weights[i]! : 0,
      ),
      weights.weights,
      Array.from(weights.rows, (row) => table.x.groups.site[row]!),
      { kind: "share", unit: "dug signals" },
    );
  const atLeast = (one: OutcomeAmongAll) => one.atLeast, atMost = (one: OutcomeAmongAll) => one.atMost;
  const bounds = strata.bounded === 0 ? [{ title: "Among all, by strata", bound: "none", of: atLeast }] : [
    { title: "Among all, at least", bound: "at least", of: atLeast },
    { title: "Among all, at most", bound: "at most", of: atMost },
  ];
  const thin = strata.strata.filter((stratum) => stratum.thin).length;
  return show(
    showTable({
      caption:
        `Outcomes among the dug and among all ${strata.all} signals of ${name}, ${strata.dug} of them with an outcome. Intervals by site`,
      columns: [
        "Outcome",
        "Among the dug",
        ...bounds.map(({ title }) => title),
        "Among all, by weights",
      ],
      rows: strata.outcomes.map((each, k) => [
        plainWord(each.outcome),
        stated("model.amongDug", { ...of, outcome: each.outcome }, each.dug, short),
        ...bounds.map(({ bound, of: take }) =>
          stated("model.amongAll", { ...of, outcome: each.outcome, bound }, take(each), short)
        ),
        stated("model.amongAllWeighted", { ...of, outcome: each.outcome }, weighted(k), short),
      ]),
    }),
    say`Of the ${
      stated("model.strata", of, counted(strata.strata.length, { signals: strata.all }))
    } strata, ${
      stated("model.thinStrata", of, counted(thin, { strata: strata.strata.length }))
    } hold fewer than five dug signals and others besides: ${
      stated("model.boundedSignals", of, counted(strata.bounded, { signals: strata.all }))
    } signals without an outcome that the dug cannot speak for. ${
      "absent" in weights
        ? "No weights could be given."
        : weights.how === "recorded"
        ? "Weights come from the chances of digging that were written down; they tell as much as"
        : "Weights come from a model of the digging, by centre, own call and iron near; they tell as much as"
    } ${
      stated(
        "model.effectiveDug",
        of,
        "absent" in weights
          ? absent(weights.absent, weights.reason, weights.n)
          : counted(Math.floor(weights.effective), { "dug signals": weights.rows.length }),
      )
    } holes dug by lot would.`,
  );
}
