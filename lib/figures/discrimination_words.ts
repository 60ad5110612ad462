const words: Readonly<Record<string, string>> = {
  none: "nothing silenced",
  "iron-silenced": "iron silenced",
  other: "other discrimination",
  "not-stated": "discrimination not stated",
};

/**
 * Puts the discrimination setting of a log into words: "none" reads "nothing silenced".
 *
 * Throws RangeError for a word that the log does not know.
 *
 * @example
 * ```ts
 * import { discriminationWords } from "overiron";
 * if (discriminationWords("none") !== "nothing silenced") throw new Error("wrong");
 * ```
 */
export function discriminationWords(discrimination: string): string {
  if (!Object.hasOwn(words, discrimination)) {
    throw new RangeError(
      `Cannot put discrimination into words: must be ${Object.keys(words).join(", ")}, got ${
        JSON.stringify(discrimination)
      }`,
    );
  }
  return words[discrimination]!;
}
