import type { Recorded, Shown } from "./show.ts";

/** The media type under which recorded numbers travel from the kernel to the runner. */
export const recordedMediaType = "application/vnd.overiron.results+json";

/** What records nothing. */
export const nothing: Recorded = { results: [], tables: [], predictions: [] };

/** A piece of a cell's output, as the kernel asks for it. */
export class Output implements Shown {
  constructor(readonly html: string, readonly text: string, readonly recorded: Recorded) {}

  [Symbol.for("Jupyter.display")](): Record<string, unknown> {
    const bundle: Record<string, unknown> = { "text/html": this.html, "text/plain": this.text };
    const { results, tables, predictions } = this.recorded;
    if (results.length + tables.length + predictions.length > 0) bundle[recordedMediaType] = this.recorded;
    return bundle;
  }
}
