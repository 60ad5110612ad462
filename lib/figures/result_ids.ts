/** What a result id means: its unit ("share" is shown as per cent, "count" without a unit), one sentence, the room that computes it. */
export interface ResultId {
  readonly unit: string;
  readonly meaning: string;
  readonly room: string;
}

/**
 * Every id that may stand in `results.json`, with unit, meaning and room. A notebook can state no number under another id.
 * A key is never renamed without a line in the changelog.
 */
export const resultIds: Readonly<Record<string, ResultId>> = {
  "season.signals": { unit: "count", meaning: "Signals accepted from the dig log", room: "log" },
};
