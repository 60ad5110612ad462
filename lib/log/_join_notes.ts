/** What joining the signals of a log may note. */
export const JOINED = {
  oneOuting: "Signals of one site, day, machine and observer without an outing_id were taken as one outing",
  sharedId: "An outing_id stands for several sites: each site was taken as its own outing",
  sharedHole: "Several signals share a hole: each has all of its finds",
  disagrees: "The outcome that the log states is not what its facts give",
} as const;
