import type { Find, Outing, Signal, Trial } from "../log/mod.ts";
import { chance } from "../numbers/mod.ts";
import { numbered, Renamer, siteLetters } from "./_renamer.ts";

/** What is to be named. */
export interface ThingsToName {
  readonly signals: readonly Signal[];
  readonly outings: readonly Outing[];
  readonly trials: readonly Trial[];
  readonly finds: readonly Find[];
}

/**
 * Gives everything that is named in a log what stands in its place in public: sites letters and observers numbers, in an order drawn from the seed, ids numbers in the
 * order of the log. Finds are named by themselves, since a log may use one find_id twice.
 */
export function publishedNames(
  { signals, outings, trials, finds }: ThingsToName,
  seed: number,
): { readonly names: Renamer; readonly findNames: ReadonlyMap<Find, string> } {
  const names = new Renamer();
  // Sorted before they are shuffled, so that the order of the log does not show through one seed.
  const drawn = (purpose: string, things: readonly (string | null)[]): string[] =>
    chance(seed, purpose).shuffle([...new Set(things.filter((each) => each !== null))].sort());
  const walked = [...signals, ...outings];
  names.fix(
    "site",
    drawn("writeup/sites", walked.map((row) => row.site)),
    (i) => `Site ${siteLetters(i)}`,
  );
  names.fix(
    "observer",
    drawn("writeup/observers", walked.map((row) => row.observer)),
    (i) => `Observer ${i + 1}`,
  );
  names.fix("signal", signals.map((signal) => signal.signal_id), numbered("s", 4));
  names.fix("outing", [...outings, ...signals].map((row) => row.outing_id), numbered("o", 3));
  names.fix(
    "hole",
    [...signals.map((signal) => signal.hole_id), ...finds.map((find) => find.hole_id)],
    numbered("h", 4),
  );
  names.fix("rule version", signals.map((signal) => signal.rule_version), (i) => `rule ${i + 1}`);
  names.fix("trial", trials.map((trial) => trial.trial_id), numbered("t", 4));
  names.fix("block", trials.map((trial) => trial.block), numbered("b", 3));
  names.fix("spot", trials.map((trial) => trial.spot), (i) => `spot ${i + 1}`);
  return { names, findNames: new Map(finds.map((find, i) => [find, numbered("f", 4)(i, finds.length)])) };
}
