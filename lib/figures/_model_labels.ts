import type { Estimate } from "../numbers/mod.ts";
import type { LearningTable, TableStudy } from "../model/mod.ts";
import type { ResultOf } from "./show.ts";

const DISCRIMINATION: Readonly<Record<string, string>> = {
  none: "",
  "iron-silenced": " (iron silenced)",
  other: " (other discrimination)",
  "not-stated": " (discrimination not stated)",
};

type Named = Pick<LearningTable, "machine" | "discrimination">;

/**
 * Gives what a reader sees for the signals of one machine and setting: "Machine A", "Machine A (iron silenced)".
 *
 * @example
 * ```ts
 * import { tableLabel } from "overiron";
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150,
 *   tones: { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] } };
 * if (tableLabel({ machine, discrimination: "iron-silenced" }) !== "Machine A (iron silenced)") throw new Error("wrong");
 * ```
 */
export function tableLabel({ machine, discrimination }: Named): string {
  return `${machine.machine}${DISCRIMINATION[discrimination] ?? ""}`;
}

/** What a number of a table is about. */
export function ofTable({ machine, discrimination }: Named): Record<string, string> & ResultOf {
  return { machine: machine.machine, discrimination };
}

/** The studies by number of signals, the largest first; equals in the order given. */
export function largestFirst(studies: readonly TableStudy[]): TableStudy[] {
  return [...studies].sort((a, b) => b.table.x.n - a.table.x.n);
}

/** An engine's dig rule in words; some engines are rules already. */
export const ruleOf = (engine: string): string => engine.endsWith(" rule") ? engine : `${engine}'s rule`;

/** What a feature is called in a sentence. */
const featureWords: Readonly<Record<string, string>> = {
  centre: "centre",
  spread: "spread",
  asymmetry: "asymmetry",
  turnChange: "change after a quarter turn",
  dropout: "dropout",
  ironShare: "iron share",
  bestRepeat: "best repeat",
  indicatedDepthCm: "indicated depth in centimetres",
  indicatedDepthStep: "indicated depth in words",
  ownCall: "own call",
  ironNear: "iron near",
  bothWays: "sounds both ways",
  afterTurn: "what it did after the turn",
  aboveSiteIron: "height above the site's iron",
};

/**
 * Gives what a feature is called in a sentence: "change after a quarter turn" for turnChange. A name it does not know comes back as it is.
 *
 * @example
 * ```ts
 * import { featureName } from "overiron";
 * if (featureName("bestRepeat") !== "best repeat") throw new Error("wrong");
 * ```
 */
export function featureName(feature: string): string {
  return featureWords[feature] ?? feature;
}

/** What a column of the logistic model is called: its feature's words, and why it is missing where it is such a switch. */
export function columnWords(column: string): string {
  const [feature, ...rest] = column.split(" ");
  return [featureName(feature!), ...rest].join(" ");
}

/** Whether a chance of the higher value is clear of one half. */
export function tellsApart(estimate: Estimate): boolean {
  return "value" in estimate && (estimate.interval.low > 0.5 || estimate.interval.high < 0.5);
}

/** "a", "a and b", "a, b and c". */
export function listed(words: readonly string[]): string {
  return words.length < 2
    ? words.join("")
    : `${words.slice(0, -1).join(", ")} and ${words[words.length - 1]!}`;
}

/** A name for ids: a-z, 0-9 and hyphens. */
export function slug(text: string): string {
  return text.toLowerCase().replace(/[^a-z0-9]+/g, "-").replace(/^-+|-+$/g, "") || "unnamed";
}
