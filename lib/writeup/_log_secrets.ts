import type { DigLog, GardenLog } from "../log/mod.ts";
import type { Secrets } from "./find_leaks.ts";

/** What the logs name and a write-up holds back: places, people and days, by what they are. */
export function logSecrets(digLog: DigLog | null, gardenLog: GardenLog | null): readonly Secrets[] {
  const signals = digLog?.season.signals ?? [], outings = digLog?.season.outings ?? [];
  const rows = [...signals, ...outings];
  const own = signals.flatMap(({ kept_private }) => kept_private ?? []);
  return [
    { what: "a site's name", values: [...rows.map(({ site }) => site), ...digLog?.privateSites ?? []] },
    { what: "an observer's name", values: rows.flatMap(({ observer }) => observer ?? []) },
    {
      what: "a coordinate",
      values: own.flatMap(({ latitude, longitude }) =>
        [latitude, longitude].flatMap((degrees) => degrees == null ? [] : String(degrees))
      ).filter((text) => text.length > 4),
    },
    {
      what: "a day",
      values: [...rows, ...gardenLog?.garden.trials ?? []].flatMap(({ date }) =>
        date?.length === 10 ? date : []
      ),
    },
    // A note of a word or two ("nail", "deep one") says nothing that another text could give away.
    {
      what: "a note",
      values: own.flatMap(({ notes }) => notes ?? []).filter((note) => /\S\s+\S+\s+\S/.test(note)),
    },
  ];
}
