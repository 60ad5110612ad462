const words: Readonly<Record<string, string>> = {
  "masked-good": "masked good",
  "nothing-found": "nothing found",
  "not-dug": "not dug",
  "cannot-say": "cannot say",
  "by-evidence": "by evidence",
  "as-stated": "as stated",
};

/** A word of the log as a reader sees it. Names, months and words that need their hyphen stay as they are. */
export const plainWord = (word: string): string => Object.hasOwn(words, word) ? words[word]! : word;
