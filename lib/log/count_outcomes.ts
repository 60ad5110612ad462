import type { OutcomeCount } from "./report.ts";
import type { Signal } from "./rows.ts";

/** Puts counts of outcomes in order: the most frequent first, equals by status, class and grade. */
export function mostFirst(counts: readonly OutcomeCount[]): OutcomeCount[] {
  const keyed = counts.map((each) => ({ each, key: keyOf(each) }));
  return keyed.sort((a, b) => b.each.count - a.each.count || (a.key < b.key ? -1 : 1)).map(({ each }) =>
    each
  );
}

const keyOf = ({ status, class: outcomeClass, grade }: Signal["outcome"]): string =>
  `${status} ${outcomeClass} ${grade}`;

/** Counts outcomes by status, class and grade, the most frequent first. */
export function countOutcomes(signals: readonly Pick<Signal, "outcome">[]): readonly OutcomeCount[] {
  const counts = new Map<string, { -readonly [Key in keyof OutcomeCount]: OutcomeCount[Key] }>();
  for (const { outcome } of signals) {
    const key = keyOf(outcome);
    const known = counts.get(key);
    if (known !== undefined) known.count++;
    else counts.set(key, { ...outcome, count: 1 });
  }
  return mostFirst([...counts.values()]);
}
