const words: Readonly<Record<string, string>> = {
  "masked-good": "masked good",
  "nothing-found": "nothing found",
  "not-dug": "not dug",
  "cannot-say": "cannot say",
  "by-evidence": "by evidence",
  "as-stated": "as stated",
};

/**
 * Gives a word of the log as a reader sees it. Names, months and words that need their hyphen stay as they are.
 *
 * @example
 * ```ts
 * import { plainWord } from "overiron";
 * if (plainWord("masked-good") !== "masked good" || plainWord("non-ferrous") !== "non-ferrous") throw new Error("wrong word");
 * ```
 */
export const plainWord = (word: string): string => Object.hasOwn(words, word) ? words[word]! : word;
