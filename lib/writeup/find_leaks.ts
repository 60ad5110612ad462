/** Something in a text that is to be published, and that may give a place, a person or a day away. */
export interface Leak {
  /** Which text it stands in, in words. */
  readonly where: string;
  /** What it is, in words. */
  readonly what: string;
  /** The part of the text. */
  readonly found: string;
}

/** A text that is to be published as it is. */
export interface ShownText {
  /** Which text it is, in words. */
  readonly where: string;
  readonly text: string;
  /** Whether to look for what merely looks like a place or a day. Not in a notebook, which is full of numbers. Default true. */
  readonly shapes?: boolean;
}

/** Things of a log that must not be in such a text, by what they are. */
export interface Secrets {
  /** In words: "a site's name". */
  readonly what: string;
  readonly values: readonly string[];
}

/** Ways of writing a place or a day. A text may look like one by chance: these lead to a question, never to a change. */
const SHAPES: readonly (readonly [what: string, shape: RegExp])[] = [
  ["degrees as a decimal number", /-?\b\d{1,3}\.\d{4,}\b/g],
  ["degrees, minutes and seconds", /\d{1,3}\s?[°º]\s?\d{1,2}(?:\.\d+)?(?:\s?['′’]|\b)/g],
  ["a grid reference of letters and digits", /\b[A-Z]{2} ?\d{3} ?\d{3}\b|\b[A-Z]{2} ?\d{4,5} ?\d{4,5}\b/g],
  ["a zone with metres east and north", /\b\d{1,2} ?[C-HJ-NP-X],? ?\d{6}(?:\.\d+)?,? ?\d{7}(?:\.\d+)?\b/g],
  ["a plus code", /\b[23456789CFGHJMPQRVWX]{4,8}\+[23456789CFGHJMPQRVWX]{2,3}\b/g],
  [
    "a geohash",
    /\b(?=[0-9b-hjkmnp-z]*\d[0-9b-hjkmnp-z]*[b-hjkmnp-z])(?=[0-9b-hjkmnp-z]*[b-hjkmnp-z][0-9b-hjkmnp-z]*\d)[0-9b-hjkmnp-z]{6,12}\b/g,
  ],
  ["a day", /\b(?:19|20)\d\d-\d\d-\d\d\b/g],
];

/** Those of them that are a place beyond doubt: a name with one in it is not shown. Others may be a size or a version. */
const CERTAIN: readonly RegExp[] = [
  /-?\b\d{1,3}\.\d{5,}\b/,
  /\d{1,3}\s?[°º]\s?[0-5]?\d(?:\.\d+)?\s?['′’]/,
  ...SHAPES.flatMap(([what, shape]) =>
    /grid reference|metres east|plus code/.test(what) ? new RegExp(shape.source) : []
  ),
];

const folded = (text: string): string => text.normalize("NFKC").toLowerCase();

/**
 * Whether a name has a place, a person or a day of the log in it, as a word or words of its own, or a place written as
 * coordinates beyond doubt. Of several words capital and small letters are one; a single word must be written alike, since
 * many a site or person is called as things are (Max, Hill). What is shorter than three letters is not looked for.
 */
export function givesAway(name: string, secrets: readonly Secrets[]): boolean {
  const stands = (value: string): boolean => {
    const [whole, word] = /\s/.test(value)
      ? [folded(name), folded(value)]
      : [name.normalize("NFKC"), value.normalize("NFKC")];
    for (let at = whole.indexOf(word); at >= 0; at = whole.indexOf(word, at + 1)) {
      const around = [whole.slice(0, at).at(-1) ?? "", whole.slice(at + word.length)[0] ?? ""];
      if (!around.some((letter) => /[\p{L}\p{N}]/u.test(letter))) return true;
    }
    return false;
  };
  return CERTAIN.some((shape) => shape.test(name)) ||
    secrets.some(({ values }) => values.some((value) => value.trim().length > 2 && stands(value.trim())));
}

/**
 * Looks in texts that are to be published as they are (names, a title, a person's own notebook) for things of the log that are
 * held back, and for what looks like a place or a day: decimal degrees, degrees with minutes, grid references, plus codes,
 * geohashes, days. Capital and small letters are one; things shorter than three letters are not looked for. In the order of
 * the texts.
 *
 * @example
 * ```ts
 * import { findLeaks } from "./find_leaks.ts";
 * const texts = [{ where: "the title", text: "A year on Top Field, QX 389 773" }];
 * const found = findLeaks(texts, [{ what: "a site's name", values: ["Top field"] }]);
 * if (found.map(({ found }) => found).join("; ") !== "Top field; QX 389 773") throw new Error("wrong");
 * ```
 */
export function findLeaks(texts: readonly ShownText[], secrets: readonly Secrets[]): Leak[] {
  const wanted = secrets.map(({ what, values }) => ({
    what,
    values: [...new Set(values.map((value) => value.trim()))].filter((value) => value.length > 2)
      // In a notebook's file a quote stands behind a stroke.
      .map((value) => ({ value, forms: [folded(value), folded(JSON.stringify(value).slice(1, -1))] })),
  }));
  return texts.flatMap(({ where, text, shapes = true }) => {
    const whole = folded(text);
    const named = wanted.flatMap(({ what, values }) =>
      values.filter(({ forms }) => forms.some((form) => whole.includes(form)))
        .map(({ value }) => ({ where, what, found: value }))
    );
    const shaped = !shapes
      ? []
      : SHAPES.flatMap(([what, shape]) =>
        [...new Set(text.match(shape) ?? [])].map((found) => ({ where, what, found }))
      );
    return [...named, ...shaped];
  });
}
