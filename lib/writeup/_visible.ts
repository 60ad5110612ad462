// What steers a text without being seen: control characters but tab and line ends, marks that turn the direction of reading
// (U+202A to U+202E, U+2066 to U+2069: Unicode Standard Annex 9), letters without width, and tag letters. Joiners stay:
// scripts need them.
const UNSEEN =
  // deno-lint-ignore no-control-regex
  /[\0-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u00ad\u180e\u200b\u2028\u2029\u202a-\u202e\u2060-\u2064\u2066-\u206f\ufeff\ufff9-\ufffb]|[\u{e0000}-\u{e007f}]/gu;

/** A text in which nothing unseen turns, hides or breaks what is shown: each such mark is shown as U+FFFD. */
export function visible(text: string): string {
  return text.replace(UNSEEN, "\ufffd");
}
