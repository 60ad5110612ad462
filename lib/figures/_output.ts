import type { Recorded, RecordedPrediction, Shown } from "./show.ts";

/** The media type under which recorded numbers travel from the kernel to the runner. */
export const recordedMediaType = "application/vnd.overiron.results+json";

/** What records nothing. */
export const nothing: Recorded = { results: [], tables: [], predictions: [] };

const COLUMNS = ["signal", "outcome", "fold", "model", "ferrous", "nonFerrous", "maskedGood"] as const;

/** Predictions on their way to the runner, a list a column: thousands of rows that each name their columns weigh three times as much. */
export type PackedPredictions = {
  readonly [Column in typeof COLUMNS[number]]: readonly RecordedPrediction[Column][];
};

function pack(rows: readonly RecordedPrediction[]): PackedPredictions {
  const column = <Name extends keyof RecordedPrediction>(name: Name) => [name, rows.map((row) => row[name])];
  return Object.fromEntries(COLUMNS.map(column));
}

/** The rows of packed predictions. */
export function unpackPredictions(packed: PackedPredictions): RecordedPrediction[] {
  return packed.signal.map((_, i) =>
    Object.fromEntries(COLUMNS.map((name) => [name, packed[name][i]])) as unknown as RecordedPrediction
  );
}

/** A piece of a cell's output, as the kernel asks for it. */
export class Output implements Shown {
  constructor(readonly html: string, readonly text: string, readonly recorded: Recorded) {}

  [Symbol.for("Jupyter.display")](): Record<string, unknown> {
    const bundle: Record<string, unknown> = { "text/html": this.html, "text/plain": this.text };
    const { results, tables, predictions } = this.recorded;
    if (results.length + tables.length + predictions.length > 0) {
      bundle[recordedMediaType] = predictions.length > 0
        ? { results, tables, predictions: pack(predictions) }
        : this.recorded;
    }
    return bundle;
  }
}
