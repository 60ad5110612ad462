import type { FieldRules } from "../decide/mod.ts";
import { discriminationWords, stated } from "../figures/mod.ts";
import type { Season } from "../log/mod.ts";
import { learningTables, studyTable } from "../model/mod.ts";
import { counted } from "../numbers/mod.ts";

/** What a model card needs beside the rules. */
export interface ModelCardOptions {
  /** The files learnt from, by what they are: a digest each, never a name. */
  readonly inputs: readonly {
    readonly role: string;
    readonly sha256: string;
    readonly rows: number | null;
  }[];
  /** The seed that the rules were learnt with. */
  readonly seed: number;
}

/**
 * Makes the card that travels with a file of field rules, in Markdown: what each rule holds for, what it was learnt from, how it did on
 * sites it had not seen, how the dug signals were chosen, and its limits. No site, day, find, note or file name stands in it.
 *
 * `season` is the one the rules were learnt from. Rules for machines that the season lacks are told without a validation.
 *
 * @example
 * ```ts
 * import { modelCard } from "./model_card.ts";
 * const machines = { schema: "overiron-machines/1" as const, machines: [], settings: [] };
 * const rules = { schema: "overiron-field-rules/1" as const, machines, rules: [], leftOut: [] };
 * const card = await modelCard(rules, { machines: [], settings: [], signals: [] }, { inputs: [], seed: 1 });
 * if (!card.includes("STOP")) throw new Error("a card without stop rules");
 * ```
 */
export async function modelCard(
  rules: FieldRules,
  season: Season,
  options: ModelCardOptions,
): Promise<string> {
  const { inputs, seed } = options;
  const lines = [
    "# Model card",
    "",
    "**STOP rules stand above every verdict of this model.** Anything big, heavy, finned, cylindrical, wired or shaped like a shell: do not " +
    "lift it, mark it, keep others away, call. A fuzed shell can read exactly like a masked good. Signals along a straight line, bones, " +
    "several good things together, undisturbed or protected ground, no permission: no digging, at any odds.",
    "",
    "Learnt from:",
    "",
    ...inputs.map(({ role, sha256, rows }) =>
      `- ${role}${rows === null ? "" : `, ${rows} rows accepted`}, SHA-256 ${sha256}`
    ),
    "",
  ];
  const tables = learningTables(season);
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
    const table = tables.find((each) =>
      each.machine.machine === machine && each.discrimination === discrimination
    );
    if (table !== undefined) {
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
      const study = await studyTable(table, { seed, askSecondOpinion: false });
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
            `- ${name}: recognised ${
              stated("model.recall", { ...of, engine: rule.engine, outcome: name }, score.recall[k]!).words
            }; right when so called ${
              stated("model.precision", { ...of, engine: rule.engine, outcome: name }, score.precision[k]!)
                .words
            }.`
          ),
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
