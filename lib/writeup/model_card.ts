import type { FieldRule, FieldRules } from "../decide/mod.ts";
import { discriminationWords, plainWord, stated } from "../figures/mod.ts";
import type { Season } from "../log/mod.ts";
import { studyRecalibration, type TableStudy } from "../model/mod.ts";
import { counted } from "../numbers/mod.ts";
import { cautionsUnder } from "./field_stop_rules.ts";

/** What a model card needs beside the rules. */
export interface ModelCardOptions {
  /** The files learnt from, by what they are: a digest each, never a name. */
  readonly inputs: readonly {
    readonly role: string;
    readonly sha256: string;
    readonly rows: number | null;
  }[];
  /** The studies that the rules were chosen by. */
  readonly studies: readonly TableStudy[];
}

/**
 * Makes the card that travels with a file of field rules, in Markdown: what each rule holds for, what it was learnt from, how it did on
 * sites it had not seen, how the dug signals were chosen, and its limits. No site, day, find, note or file name stands in it.
 *
 * `season` is the one the rules were learnt from. A rule without a study is told without a validation.
 *
 * @example
 * ```ts
 * import { modelCard } from "./model_card.ts";
 * const machines = { schema: "overiron-machines/1" as const, machines: [], settings: [] };
 * const rules = { schema: "overiron-field-rules/1" as const, machines, rules: [], leftOut: [] };
 * const card = modelCard(rules, { machines: [], settings: [], signals: [] }, { inputs: [], studies: [] });
 * if (!card.includes("STOP")) throw new Error("a card without stop rules");
 * ```
 */
export function modelCard(rules: FieldRules, season: Season, options: ModelCardOptions): string {
  const { inputs, studies } = options;
  const lines = [
    "# Model card",
    "",
    "**STOP rules stand above every verdict of this model.** Stop digging at once on meeting:",
    "",
    ...cautionsUnder("Stop").map(({ lead, text }) => `- **${lead}**${text === "" ? "" : `: ${text}`}`),
    "",
    "Learnt from:",
    "",
    ...inputs.map(({ role, sha256, rows }) =>
      `- ${role}${rows === null ? "" : `, ${rows} rows accepted`}, SHA-256 ${sha256}`
    ),
    "",
  ];
  for (const rule of rules.rules) {
    const { machine, discrimination, learntFrom, months, centres, sets } = rule;
    const of = { machine, discrimination };
    lines.push(
      `## ${rule.version}: ${machine}, ${discriminationWords(discrimination)}`,
      "",
      `- Engine: ${rule.engine}; classes: ${
        rule.classes === "three" ? "ferrous, non-ferrous, masked good" : "ferrous, worth a hole"
      }.`,
      `- Looks at: ${
        "features" in rule.model ? (rule.model.features as readonly string[]).join(", ") : "its own rule"
      }.`,
      `- Holds for the settings sets ${rule.settings.map((name) => name ?? "not stated").join(", ")}${
        centres === null ? "" : `, centres from ${centres.low} to ${centres.high}`
      }, and is refused elsewhere.`,
      `- Learnt from ${learntFrom.signals} dug signals (${learntFrom.ferrous} ferrous, ${learntFrom.nonFerrous} non-ferrous, ` +
        `${learntFrom.maskedGood} masked good) at ${learntFrom.sites} sites${
          months === null ? ", months not logged" : `, ${months.from} to ${months.to}`
        }.`,
      `- Ground: ${rule.ground.map(({ word, signals }) => `${word} ${signals}`).join(", ")}.`,
      `- Sets of what it could be miss at most about ${
        Math.round(100 * sets.miss)
      } % of each outcome; not promised at any one site.`,
    );
    const study = studies.find(({ table }) =>
      table.machine.machine === machine && table.discrimination === discrimination
    );
    if (study !== undefined) {
      const all = season.signals.filter((each) =>
        each.machine === machine && each.discrimination === discrimination
      );
      const passed = all.filter(({ dug }) => dug === "no").length;
      const byLot = all.filter(({ dig_chance: chance }) => chance !== null).length;
      lines.push(
        `- How the dug were chosen: of ${all.length} signals ${passed} were not dug; ${
          byLot === 0
            ? "the person chose, and no chance of digging was written down"
            : `for ${byLot} a chance of digging was written down`
        }. Nothing here speaks for the signals passed by.`,
      );
      const score = study.scores.find(({ name }) => name === rule.engine);
      if (score === undefined || study.folds.kind !== "folds") {
        lines.push(
          `- Validation: none. ${study.folds.kind === "refused" ? study.folds.reason : "It has no score"}.`,
        );
      } else {
        const folds = stated(
          "model.folds",
          of,
          counted(study.folds.count, { [study.groups]: study.folds.units }),
          { form: "value" },
        );
        lines.push(
          `- Validation on ${study.groups} not learnt from, ${folds.words} folds: log loss ${
            stated("model.logLoss", { ...of, engine: rule.engine }, score.logLoss).words
          }; likeliest came out for ${
            stated("model.accuracy", { ...of, engine: rule.engine }, score.accuracy).words
          }.`,
          ...score.classes.map((name, k) =>
            `- ${plainWord(name)}: recognised ${
              stated("model.recall", { ...of, engine: rule.engine, outcome: name }, score.recall[k]!).words
            }; right when so called ${
              stated("model.precision", { ...of, engine: rule.engine, outcome: name }, score.precision[k]!)
                .words
            }.`
          ),
          ...chancesLine(rule, study),
        );
      }
    }
    lines.push("");
  }
  for (const { machine, discrimination, reason } of rules.leftOut) {
    lines.push(`No rule for ${machine}, discrimination ${discrimination}: ${reason}`, "");
  }
  lines.push(
    "## Limits",
    "",
    "- Another machine, coil, setting, ground, pair of hands or kind of site may differ; see the counts before the numbers.",
    "- Only dug signals have an outcome, and the person chose what to dig.",
    '- Odds are not objects: "not worth a hole" says that a hole is unlikely to pay, never that nothing good lies there.',
    "",
  );
  return lines.join("\n");
}

/** Whether the rule's chances are its engine's own, and what correcting them did on sites not learnt from. */
function chancesLine(rule: FieldRule, study: TableStudy): string[] {
  const found = studyRecalibration(study, rule.engine), { recalibration } = rule.model;
  if (found === null) return [];
  const of = { machine: rule.machine, discrimination: rule.discrimination, engine: rule.engine };
  const how = found.method === "isotonic" ? "a rising curve a class" : "a temperature";
  const change = stated("model.recalibrationChange", of, found.change).words;
  return [
    recalibration === undefined
      ? `- Chances: as the ${rule.engine} gives them. Corrected by ${how}, their log loss on ${study.groups} not learnt from changes by ${change}: not by more than its standard error for the better.`
      : `- Chances: corrected by ${
        recalibration.method === "isotonic"
          ? how
          : `a temperature of ${stated("model.temperature", of, found.temperature).words}`
      }, version ${recalibration.version}: on ${study.groups} not learnt from their log loss changes by ${change}. The validation is of chances before that.`,
  ];
}
