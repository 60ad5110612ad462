/** Edits between two words: insertions, deletions, replacements and swaps of neighbours each count one. */
function distance(a: string, b: string): number {
  const rows: number[][] = [];
  for (let i = 0; i <= a.length; i++) {
    const row: number[] = [];
    for (let j = 0; j <= b.length; j++) {
      if (i === 0 || j === 0) {
        row.push(i + j);
        continue;
      }
      let best = Math.min(
        rows[i - 1]![j]! + 1,
        row[j - 1]! + 1,
        rows[i - 1]![j - 1]! + (a[i - 1] === b[j - 1] ? 0 : 1),
      );
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1]) {
        best = Math.min(best, rows[i - 2]![j - 2]! + 1);
      }
      row.push(best);
    }
    rows.push(row);
  }
  return rows[a.length]![b.length]!;
}

/**
 * Gives the word of a list that is closest to what was written, or null where none is near.
 *
 * Near means that no more than a third of the longer word (at least two letters) has to change: restricted
 * Damerau-Levenshtein distance, letters compared in lower case. Of equally near words the first stands.
 *
 * @example
 * ```ts
 * import { nearestWord } from "overiron";
 * if (nearestWord("ferous", ["ferrous", "both"]) !== "ferrous") throw new Error("wrong");
 * if (nearestWord("zinc", ["ferrous", "both"]) !== null) throw new Error("wrong");
 * ```
 */
export function nearestWord(written: string, words: readonly string[]): string | null {
  const wanted = written.slice(0, 60).toLowerCase();
  let best: string | null = null;
  let least = Infinity;
  for (const word of words) {
    const edits = distance(wanted, word.slice(0, 60).toLowerCase());
    if (edits < least && edits <= Math.max(2, Math.floor(Math.max(wanted.length, word.length) / 3))) {
      least = edits;
      best = word;
    }
  }
  return best !== null && least < Math.max(wanted.length, best.length) ? best : null;
}
