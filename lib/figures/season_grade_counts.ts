import { type Signal, WORDS } from "../log/mod.ts";
import { plainWord } from "./plain_word.ts";
import { type Shown, tally } from "./show.ts";

/**
 * Shows how well the outcomes of a season are known: signals with an outcome, by class and grade.
 *
 * @example
 * ```ts
 * import { seasonGradeCounts } from "overiron";
 * const outcome = { status: "known", class: "ferrous", grade: "by-evidence" } as const;
 * if (seasonGradeCounts([{ outcome }]).recorded.tables[0]!.n !== 1) throw new Error("wrong");
 * ```
 */
export function seasonGradeCounts(signals: readonly Pick<Signal, "outcome">[]): Shown {
  const { outcome_class: classes, outcome_grade: grades } = WORDS;
  const counts = classes.map((name) =>
    grades.map((grade) =>
      signals.filter(({ outcome }) => outcome.class === name && outcome.grade === grade).length
    )
  );
  return tally({
    id: "season.grades",
    unit: "signals",
    caption: "Signals with an outcome, by how well it is known",
    rowTitle: "outcome",
    rows: classes.map(plainWord),
    columns: grades.map(plainWord),
    counts,
  });
}
