/** A name or id of the log beside what stands in its place. Private. */
export interface KeyEntry {
  readonly kind: string;
  readonly was: string;
  readonly now: string;
}

/** A, B, ... Z, AA, AB, ...: the letters of spreadsheet columns. */
export function siteLetters(index: number): string {
  let out = "";
  for (let i = index + 1; i > 0; i = Math.floor((i - 1) / 26)) {
    out = String.fromCharCode(65 + (i - 1) % 26) + out;
  }
  return out;
}

/** Gives each name or id of a log what stands in its place in public, and keeps the key. */
export class Renamer {
  readonly key: KeyEntry[] = [];
  readonly #names = new Map<string, string>();

  /** Names things once and for all: each distinct one, in the order given. */
  fix(
    kind: string,
    things: Iterable<string | null | undefined>,
    name: (index: number, count: number) => string,
  ): void {
    const distinct = [...new Set([...things].filter((each) => each !== null && each !== undefined))];
    distinct.forEach((was, i) => {
      const now = name(i, distinct.length);
      this.#names.set(`${kind}\n${was}`, now);
      this.key.push({ kind, was, now });
    });
  }

  of(kind: string, was: string | null | undefined): string | null {
    if (was === null || was === undefined) return null;
    const now = this.#names.get(`${kind}\n${was}`);
    if (now === undefined) throw new Error(`No published name for a ${kind}`);
    return now;
  }
}

/** Names like s0001: a prefix and a number with leading zeros. */
export const numbered = (prefix: string, least: number) => (index: number, count: number): string =>
  prefix + String(index + 1).padStart(Math.max(least, String(count).length), "0");
