import { discriminationWords } from "../figures/discrimination_words.ts";
import { type RecordedResult, stated } from "../figures/show.ts";

/** One of the numbers that matter most, as the page shows it. */
export interface Headline {
  /** What the number is, in a few words. */
  readonly label: string;
  /** The number itself, or the word for its absence. */
  readonly value: string;
  /** Its interval and counts, or the reason of its absence. */
  readonly detail: string;
}

/**
 * Makes a headline out of a recorded result, under a label of a few words.
 *
 * @example
 * ```ts
 * import { headline } from "./mod.ts";
 * const interval = { low: 3, high: 3, level: 1, method: "counted, not estimated" };
 * const shown = headline({ id: "season.signals", unit: "count", value: 3, interval, n: { signals: 3 } }, "Signals");
 * if (shown.value !== "3") throw new Error(shown.value);
 * ```
 */
export function headline(result: RecordedResult, label: string): Headline {
  const { id, of = {}, unit: _, ...estimate } = result;
  const value = stated(id, of, estimate, { form: "value" }).words;
  const about = Object.entries(of).map(([key, text]) => {
    if (["machine", "target", "neighbour", "site"].includes(key)) return text;
    if (key === "discrimination") return discriminationWords(text);
    const [, name, unit] = /^(.*?)(?:_(cm|mm|deg))?$/.exec(key)!;
    return `${name!.replaceAll("_", " ")} ${text}${unit ? `\u00a0${unit}` : ""}`;
  }).join(", ");
  if (!("value" in result)) {
    return {
      label,
      value,
      detail: [about, result.reason].filter((part) => part !== "").join(": "),
    };
  }
  const full = stated(id, of, estimate, { form: "full" }).words;
  const rest = full.slice(value.length).replace(/^\s*\((.*)\)$/s, "$1");
  const level = result.interval.level === 1
    ? ""
    : `${Math.round(result.interval.level * 100)}\u00a0% interval `;
  return {
    label,
    value,
    detail: [about, rest === "" ? "" : `${level}${rest}`].filter((part) => part !== "").join(": "),
  };
}
