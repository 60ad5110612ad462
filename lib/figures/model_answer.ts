import { counted } from "../numbers/mod.ts";
import { type FeatureSays, OUTCOMES, type TableStudy } from "../model/mod.ts";
import { featureName, largestFirst, listed, ofTable, tableLabel, tellsApart } from "./_model_labels.ts";
import { oneParagraph } from "./_one_paragraph.ts";
import { say, show, type Shown, type Stated, stated } from "./show.ts";

function scoreOf(study: TableStudy, name: string) {
  return study.scores.find((score) => score.name === name);
}

/** Whether the own call or the tone rule is as good as the engine recommended, or by how much it is worse. */
function besideRecommended(study: TableStudy, name: string): Shown[] {
  const { recommendation, table } = study;
  const difference = recommendation?.differences.find((each) => each.name === name);
  if (!recommendation || !difference || name === recommendation.recommended) return [];
  const against = recommendation.recommended, of = { ...ofTable(table), engine: name, against };
  const above = stated("model.lossDifference", of, difference.aboveRecommended, { form: "interval" });
  return [
    difference.clearlyAboveRecommended
      ? say`The ${name} is clearly worse than the ${against}: its log loss is higher by ${above}.`
      : say`The ${name} is as good as the ${against}, as far as these ${study.groups} can show: its log loss is higher by ${above}.`,
  ];
}

function featuresFor(says: readonly FeatureSays[], groups: string): Shown[] {
  const known = says.filter(({ goodAboveFerrous: a, maskedAbovePlain: b }) => "value" in a || "value" in b);
  if (known.length === 0) return [];
  const name = ({ feature }: FeatureSays) => featureName(feature);
  const goods = known.filter((each) => tellsApart(each.goodAboveFerrous)).map(name);
  const masked = known.filter((each) => tellsApart(each.maskedAbovePlain)).map(name);
  const silent = known.filter((each) =>
    !tellsApart(each.goodAboveFerrous) && !tellsApart(each.maskedAbovePlain)
  ).map(name);
  const parts = [
    goods.length > 0
      ? `goods are parted from ferrous by ${listed(goods)}`
      : "nothing parts goods from ferrous",
    masked.length > 0
      ? `masked goods from the other non-ferrous finds by ${listed(masked)}`
      : "nothing parts masked goods from the other non-ferrous finds",
    ...(silent.length > 0
      ? [`${listed(silent)} ${silent.length > 1 ? "say" : "says"} nothing these ${groups} can show`]
      : []),
  ];
  return [say`Taken one at a time, ${parts.join("; ")}.`];
}

function answerFor(study: TableStudy, says: readonly FeatureSays[]): Shown {
  const { table, allowance, folds, recommendation, groups } = study;
  const label = tableLabel(table), of = ofTable(table);
  const [ferrous, plain, masked] = OUTCOMES.map((outcome, k) => {
    const count = allowance.counts[k as 0 | 1 | 2];
    return stated("model.learntFrom", { ...of, outcome }, counted(count, { signals: table.x.n }), {
      form: "value",
    });
  }) as [Stated, Stated, Stated];
  if (!recommendation || recommendation.recommended === "base rates") {
    const why = folds.kind === "refused" && folds.refused === "one outcome"
      ? "a model needs signals of two outcomes or more"
      : folds.kind === "refused"
      ? "no split by site or by outing leaves most of each outcome to learn from"
      : "nothing here is clearly better than the shares of the outcomes themselves";
    return say`**On ${label} no model can be recommended yet**: of its dug signals ${ferrous} were ferrous, ${plain} non-ferrous and ${masked} masked good, and ${why}.`;
  }
  const name = recommendation.recommended, score = scoreOf(study, name)!, engine = { ...of, engine: name };
  const accuracy = stated("model.accuracy", engine, score.accuracy);
  const own = scoreOf(study, "own call");
  const ownShare = own
    ? stated("model.accuracy", { ...of, engine: "own call" }, own.accuracy, { form: "interval" })
    : null;
  const ownWorse = recommendation.differences.find((each) => each.name === "own call")
    ?.clearlyAboveRecommended === true;
  const first = ownShare === null
    ? say`**On ${label} the ${name} tells best what lies there**: what it held likeliest came out for ${accuracy} of the dug signals, on ${groups} it had not seen.`
    : name === "own call"
    ? say`**On ${label} nothing beats the own call**: it was right for ${accuracy} of the dug signals, and no engine is clearly better.`
    : ownWorse
    ? say`**On ${label} the readings tell more than the own call did**: what the ${name} held likeliest came out for ${accuracy} of the dug signals, on ${groups} it had not seen; for the own call that share was ${ownShare}.`
    : say`**On ${label} the readings tell no more than the own call did, as far as these ${groups} can show**: what the ${name} held likeliest came out for ${accuracy} of the dug signals, on ${groups} it had not seen; for the own call that share was ${ownShare}.`;
  const second = allowance.classes === "three"
    ? say`Masked goods stay hard: it recognised ${
      stated("model.recall", { ...engine, outcome: "masked-good" }, score.recall[2]!)
    } of them as what they were. It learnt from ${ferrous} ferrous, ${plain} non-ferrous and ${masked} masked good.`
    : say`Its counts, ${ferrous} ferrous, ${plain} non-ferrous and ${masked} masked good, cannot carry three outcomes, so goods are taken together there and nothing is claimed about masked ones.`;
  const why = name === recommendation.best
    ? say`The ${name} has the lowest log loss, and every simpler engine is clearly worse.`
    : say`The ${name} is the simplest engine that is not clearly worse than the ${recommendation.best}, the one of lowest log loss, for which that share was ${
      stated(
        "model.accuracy",
        { ...of, engine: recommendation.best },
        scoreOf(study, recommendation.best)!.accuracy,
        { form: "interval" },
      )
    }: more ${groups} would tell them apart.`;
  const beside = ["own call", "tone rule"].filter((each) => each !== name);
  return show(
    oneParagraph(first, second, ...featuresFor(says, groups)),
    oneParagraph(why, ...beside.flatMap((each) => besideRecommended(study, each))),
  );
}

/** Options of {@link modelAnswer}. */
export interface ModelAnswerOptions {
  /** What features say, by the study they belong to; studies without an entry get no sentence on features. */
  readonly says?: ReadonlyMap<TableStudy, readonly FeatureSays[]>;
}

/**
 * Answers in a few sentences, a machine and setting at a time, the largest first: whether the readings tell more than the
 * person's own call, which features say anything, which engine to use, how many masked goods it recognises, and what the counts
 * cannot carry.
 *
 * @example
 * ```ts
 * import { modelAnswer } from "overiron";
 * if (!modelAnswer([]).text.includes("no dug signal")) throw new Error("an answer from nothing");
 * ```
 */
export function modelAnswer(studies: readonly TableStudy[], options: ModelAnswerOptions = {}): Shown {
  const { says = new Map<TableStudy, readonly FeatureSays[]>() } = options;
  const learnt = largestFirst(studies).filter(({ table }) => table.x.n > 0);
  if (learnt.length === 0) {
    return say`**The log holds no dug signal of known outcome, so nothing can be learnt from it yet.** Write down what each hole gave, and whether a magnet takes it.`;
  }
  return show(...learnt.map((study) => answerFor(study, says.get(study) ?? [])));
}
