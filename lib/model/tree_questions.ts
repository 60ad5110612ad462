import type { ModelFile } from "./classifier.ts";
import { forestParametersSchema } from "./forest.ts";
import type { LearningTable } from "./season_tables.ts";

/** One step of a single tree, read from the top: a question that led there, and what lies there. */
export interface TreeStep {
  /** How many questions lead to it; 0 is where all signals start. */
  readonly depth: number;
  /** The answer that leads here from the step above; null at the start. */
  readonly answer: null | {
    readonly feature: string;
    /** "at most" or "above" the value; "there" or "missing" where that is what is asked. */
    readonly side: "at most" | "above" | "there" | "missing";
    /** In the feature's unit; null where only being there is asked. */
    readonly value: number | null;
    /** Whether signals without the feature come this way too. */
    readonly withMissing: boolean;
  };
  /** Signals of the table that come here, by outcome: ferrous, non-ferrous, masked good. */
  readonly counts: readonly [number, number, number];
  /** Whether no further question is asked. */
  readonly end: boolean;
}

/**
 * Reads a single tree as questions, each step before those below it, the left answer first, with the signals of a table that come to
 * each step.
 *
 * `model` is the saved form of an engine made by `outcomeTree`. Throws RangeError where it holds no tree or more than one, or the
 * table lacks a feature.
 *
 * @example
 * ```ts
 * import { outcomeTree, treeQuestions } from "overiron";
 * const n = 40, group = new Int32Array(n), outcome = Uint8Array.from({ length: n }, (_, i) => i % 2);
 * const x = { n, names: ["centre"], columns: [Float64Array.from(outcome, (code, i) => 100 + 200 * code + i)],
 *   whyMissing: [new Uint8Array(n)], groups: { site: group, outing: group, observer: group } };
 * const steps = treeQuestions(outcomeTree().fit(x, outcome, { seed: 1 }).toJSON(), { x, outcome });
 * if (steps[1]!.answer!.side !== "at most" || steps[1]!.counts.join() !== "20,0,0") throw new Error(JSON.stringify(steps));
 * ```
 */
export function treeQuestions(model: ModelFile, table: Pick<LearningTable, "x" | "outcome">): TreeStep[] {
  const parsed = forestParametersSchema.safeParse(model.parameters);
  if (!parsed.success || parsed.data.trees.length !== 1) {
    const trees = parsed.success ? parsed.data.trees.length : 0;
    throw new RangeError(`Cannot read tree: the model must hold one tree, got ${trees}`);
  }
  const { x, outcome } = table, { features } = parsed.data, tree = parsed.data.trees[0]!;
  const columns = features.map((feature) => {
    const place = x.names.indexOf(feature);
    if (place < 0) {
      throw new RangeError(
        `Cannot read tree: the table needs the feature "${feature}", got ${x.names.join(", ")}`,
      );
    }
    return x.columns[place]!;
  });
  const steps: TreeStep[] = [];
  const visit = (node: number, depth: number, answer: TreeStep["answer"], rows: readonly number[]): void => {
    const j = tree.feature[node]!, counts: [number, number, number] = [0, 0, 0];
    for (const row of rows) counts[outcome[row] as 0 | 1 | 2] += 1;
    steps.push({ depth, answer, counts, end: j < 0 });
    if (j < 0) return;
    const value = tree.threshold[node]!, missingLeft = tree.missingLeft[node] === 1;
    const goesLeft = (row: number): boolean => {
      const at = columns[j]![row]!;
      return Number.isNaN(at) ? missingLeft : value === null || at <= value;
    };
    const feature = features[j]!, anyMissing = columns[j]!.some((at) => Number.isNaN(at));
    const left = value === null ? "there" as const : "at most" as const;
    const right = value === null ? "missing" as const : "above" as const;
    const also = (side: boolean): boolean => value !== null && anyMissing && side;
    visit(
      tree.left[node]!,
      depth + 1,
      { feature, side: left, value, withMissing: also(missingLeft) },
      rows.filter(goesLeft),
    );
    visit(
      tree.left[node]! + 1,
      depth + 1,
      { feature, side: right, value, withMissing: also(!missingLeft) },
      rows.filter((row) => !goesLeft(row)),
    );
  };
  visit(0, 0, null, [...outcome.keys()]);
  return steps;
}
