import { type Kill, type Victim, VICTIMS } from "./_kill_runs.ts";

/** What a series of kills came to. */
export interface KillSummary {
  readonly kills: number;
  /** Kills that struck a run at work, and not one that had just ended. */
  readonly struck: number;
  /** Kills after which all was in order: the write-up whole, no process left, the next run as it must be. */
  readonly good: number;
  /** Kills that left something half done beside the write-up, for the next run to clear. */
  readonly half_done: number;
  readonly found: Readonly<Record<Kill["found"], number>>;
  readonly by_victim: Readonly<Record<Victim, { readonly kills: number; readonly longest_alive_ms: number }>>;
}

const isGood = (kill: Kill): boolean =>
  kill.found !== "BROKEN" && kill.orphans === 0 && kill.next_run === null;

/** Counts what a series of kills came to. */
export function summaryOf(kills: readonly Kill[]): KillSummary {
  const count = (test: (kill: Kill) => boolean): number => kills.filter(test).length;
  return {
    kills: kills.length,
    struck: count(({ processes }) => processes > 0),
    good: count(isGood),
    half_done: count(({ beside }) => beside.some((end) => end !== ".lock")),
    found: Object.fromEntries(
      (["the earlier", "the new", "moved", "BROKEN"] as const).map((what) => [
        what,
        count(({ found }) => found === what),
      ]),
    ) as KillSummary["found"],
    by_victim: Object.fromEntries(VICTIMS.map((victim) => {
      const own = kills.filter(({ killed }) => killed === victim);
      return [victim, {
        kills: own.length,
        longest_alive_ms: Math.max(0, ...own.map((kill) => kill.last_alive_ms)),
      }];
    })) as KillSummary["by_victim"],
  };
}

export interface KillProof extends Omit<KillSummary, "found"> {
  readonly command: string;
  readonly bad: number;
  readonly share_bad: {
    readonly share: number;
    readonly low: number;
    readonly high: number;
    readonly of: number;
  };
  readonly found: readonly Kill[];
}

const VICTIM_WORDS: Readonly<Record<Victim, string>> = {
  task: "`deno task` itself",
  between: "the program of a package between it and the next",
  starter: "the program that hands over",
  worker: "the program that does the work",
  all: "all of them and the kernels at once, as when the power goes",
};

/** The page that tells what a series of kills came to, in Markdown. */
export function killPage(proof: KillProof): string {
  const { kills, struck, good, half_done, bad, share_bad, by_victim, found } = proof;
  const counts = summaryOf(found).found;
  const percent = (share: number): string => (100 * share).toFixed(1);
  const rows = VICTIMS.map((victim) =>
    `| ${VICTIM_WORDS[victim]} | ${by_victim[victim].kills} | ${
      (by_victim[victim].longest_alive_ms / 1000).toFixed(1)
    } |`
  );
  return `# A run that is killed

Made by \`${proof.command}\`; every kill stands in [kills.json](kills.json).

A season was published over a good write-up, and killed (SIGKILL) at a moment drawn evenly over the time that such a run takes;
${kills} times, half of them while every notebook ran and half in runs that took the notebooks from the cache and mostly write.

| what | kills |
|---|---|
| all in order afterwards | ${good} of ${kills} |
| not in order | ${bad} of ${kills}: ${percent(share_bad.share)} % (95 % interval ${
    percent(share_bad.low)
  } to ${percent(share_bad.high)}, Wilson) |
| the earlier write-up stood, byte for byte | ${counts["the earlier"]} |
| the new one stood, byte for byte | ${counts["the new"]} |
| whole, but moved beside its place until the next run | ${counts.moved} |
| something half done beside it, which the next run cleared | ${half_done} |
| the run had ended before the kill | ${kills - struck} |

"In order" means: the earlier write-up or the new one stands whole, every file compared by its SHA-256; ten seconds later no process of
the run is left, kernels included; the next run ends well, gives the very bytes of a run that nobody disturbed, and leaves
nothing else behind, neither beside the write-up nor in the temporary folder. The private folder beside the write-up is not looked
into: a kill between the two may leave it as it was, until the next run.

| killed | kills | the last process lived on for at most, s |
|---|---|---|
${rows.join("\n")}
`;
}
