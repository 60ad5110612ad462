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
  "garden.trials": { unit: "count", meaning: "Trials of the garden log, by kind", room: "garden" },
  "garden.blocks": { unit: "count", meaning: "Blocks of the garden log", room: "garden" },
  "garden.readings": { unit: "count", meaning: "Drifts of the garden, one a trial and direction, by what they rest on", room: "garden" },
  "garden.silentReadings": { unit: "count", meaning: "Trials and directions in which every pass was silent", room: "garden" },
  "garden.setAside": { unit: "count", meaning: "Readings of the garden set aside, by reason", room: "garden" },
  "garden.pairs": { unit: "count", meaning: "Pairs of objects as laid, by what is known of their half gap", room: "garden" },
  "garden.pairTrials": { unit: "count", meaning: "Trials of a pair that give a drag", room: "garden" },
  "garden.pairBlocks": { unit: "count", meaning: "Blocks in which a pair gives a drag", room: "garden" },
  "garden.closestGapCm": { unit: "cm", meaning: "Closest gap at which a pair was laid", room: "garden" },
  "garden.halfGapCm": { unit: "cm", meaning: "Gap at which the fitted drag of a pair is one half", room: "garden" },
  "garden.clearGapCm": { unit: "cm", meaning: "Gap beyond which the interval of a pair's drift lies within what passes and display do by themselves", room: "garden" },
  "garden.driftAtGap": { unit: "reading units", meaning: "Drift that the fitted curve of a pair shows at a gap", room: "garden" },
  "garden.meanDriftAtGap": { unit: "reading units", meaning: "Mean drift of the trials of a pair at a gap, over blocks", room: "garden" },
  "garden.trialsAtGap": { unit: "count", meaning: "Trials of a pair at a gap", room: "garden" },
};
