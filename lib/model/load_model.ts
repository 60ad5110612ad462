import { baseRatesFrom } from "./base_rates.ts";
import { correctedModel } from "./correct_chances.ts";
import type { Discrimination, Machine } from "../log/mod.ts";
import { type Model, type ModelFile, modelFileSchema } from "./classifier.ts";
import { forestFrom, forestParametersSchema } from "./forest.ts";
import { ownCallFrom } from "./own_call.ts";
import { ridgeModel, ridgeParametersSchema } from "./ridge_logistic.ts";
import { ruleParametersSchema } from "./_rule.ts";
import { secondOpinionModel, secondOpinionParametersSchema } from "./second_opinion.ts";
import { stepRuleFrom } from "./step_rule.ts";
import { toneRuleFrom } from "./tone_rule.ts";
import { twoClassModel } from "./two_classes.ts";

/** Where a model is to be used. */
export interface ModelPlace {
  readonly machine: Machine;
  readonly discrimination: Discrimination;
  /** Names of the settings sets in use, null for none named. Default: any. */
  readonly settings?: readonly (string | null)[];
}

/** Options of {@link loadModel}. */
export interface LoadModelOptions {
  /** Refuse a model that learnt with another machine, discrimination or settings set, or does not say with which. Default: not asked. */
  readonly on?: ModelPlace;
  /** True: take it all the same; what it says there has not been tried. Default false. */
  readonly elsewhere?: boolean;
}

/**
 * Rebuilds a fitted model from its saved form: the probabilities are those of the model that was saved.
 *
 * `saved` is what `saveModel` or `model.toJSON()` gave, that text, or the text parsed. Nothing in it is run: it is numbers, checked against a schema.
 * Throws SyntaxError for anything else: another version, a text cut short, a part missing, a number out of place or not finite, a tree
 * that does not lead downwards. With `on`, throws RangeError where the model learnt with another machine (or another scale or iron break of that
 * name), another discrimination, or settings sets it never saw, unless `elsewhere` is true.
 *
 * @example
 * ```ts
 * import { baseRates, loadModel } from "overiron";
 * const group = Int32Array.of(0, 0);
 * const x = { n: 2, names: [], columns: [], whyMissing: [], groups: { site: group, outing: group, observer: group } };
 * const model = baseRates().fit(x, Uint8Array.of(0, 1), { seed: 1 });
 * const again = loadModel(JSON.stringify(model));
 * if (again.probabilities(x)[0] !== model.probabilities(x)[0]) throw new Error("changed");
 * ```
 */
export function loadModel(saved: unknown, options: LoadModelOptions = {}): Model {
  const { on, elsewhere = false } = options;
  let file = saved;
  if (typeof saved === "string") {
    try {
      file = JSON.parse(saved);
    } catch {
      throw refusal({ path: [], message: "no JSON, or cut short" });
    }
  }
  const model = load(file, 0);
  if (on !== undefined && !elsewhere) refuseElsewhere((file as ModelFile).learntOn, on);
  return model;
}

function refuseElsewhere(learnt: ModelFile["learntOn"], on: ModelPlace): void {
  const refuse = (rule: string): never => {
    throw new RangeError(`Cannot use model here: ${rule}; ask for it with elsewhere: true`);
  };
  const { machine: { machine, scale, iron_break }, discrimination, settings = [] } = on;
  if (learnt === undefined) return refuse("it does not say with which machine it learnt");
  if (learnt.machine !== machine) refuse(`it learnt with ${learnt.machine}, got ${machine}`);
  const { low, high, step } = learnt.scale;
  if (low !== scale.low || high !== scale.high || step !== scale.step || learnt.ironBreak !== iron_break) {
    refuse(`the scale and the iron break of ${machine} must be those it learnt with`);
  }
  if (learnt.discrimination !== discrimination) {
    refuse(`it learnt with discrimination ${learnt.discrimination}, got ${discrimination}`);
  }
  const unseen = settings.filter((name) => !learnt.settings.includes(name));
  if (unseen.length > 0) {
    refuse(
      `it never saw settings ${
        unseen.map((name) => name === null ? "without a name" : `"${name}"`).join(", ")
      }`,
    );
  }
}

function load(saved: unknown, depth: number): Model {
  const file = modelFileSchema.safeParse(saved);
  if (!file.success) throw refusal(file.error.issues[0]);
  const { recalibration } = file.data;
  // A model within another gives its own chances: what is corrected is what is seen.
  if (recalibration !== undefined && depth > 0) throw refusal();
  const model = loadEngine(file.data, depth);
  return recalibration === undefined ? model : correctedModel(model, recalibration);
}

function loadEngine({ engine, name, learntFrom, parameters }: ModelFile, depth: number): Model {
  switch (engine) {
    case "base-rates":
    case "own-call":
    case "tone-rule":
    case "step-rule": {
      const rule = ruleParametersSchema.safeParse(parameters);
      if (!rule.success) throw refusal(rule.error.issues[0]);
      const from = {
        "base-rates": baseRatesFrom,
        "own-call": ownCallFrom,
        "tone-rule": toneRuleFrom,
        "step-rule": stepRuleFrom,
      }[engine];
      if (rule.data.shares.length !== rule.data.answers.length) throw refusal();
      return from(rule.data, learntFrom);
    }
    case "ridge-logistic": {
      const ridge = ridgeParametersSchema.safeParse(parameters);
      if (!ridge.success) throw refusal(ridge.error.issues[0]);
      return ridgeModel(ridge.data, name, learntFrom);
    }
    case "forest": {
      const forest = forestParametersSchema.safeParse(parameters);
      if (!forest.success) throw refusal(forest.error.issues[0]);
      return forestFrom(forest.data, name, learntFrom);
    }
    case "ml-random-forest": {
      const votes = secondOpinionParametersSchema.safeParse(parameters);
      if (!votes.success) throw refusal(votes.error.issues[0]);
      return secondOpinionModel(votes.data, learntFrom);
    }
    case "two-classes": {
      const { inner, maskedShare } = (parameters ?? {}) as { inner?: unknown; maskedShare?: unknown };
      if (typeof maskedShare !== "number" || !(maskedShare >= 0 && maskedShare <= 1) || depth > 0) {
        throw refusal();
      }
      return twoClassModel(load(inner, depth + 1), maskedShare, learntFrom);
    }
    default:
      throw refusal();
  }
}

function refusal(issue?: { readonly path: readonly PropertyKey[]; readonly message: string }): SyntaxError {
  const where = issue ? ` (${issue.path.map(String).join(".") || "whole file"}: ${issue.message})` : "";
  return new SyntaxError(`Cannot load model: the file must be a saved model of this version${where}`);
}
