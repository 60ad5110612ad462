import { type Applied, Remarks } from "./apply_schema.ts";
import { deriveOutcome } from "./derive_outcome.ts";
import { JOINED } from "./_join_notes.ts";
import type { MachinesFile } from "./machines.ts";
import type { ColumnMapping } from "./mapping.ts";
import { measureRepeatNoise } from "./measure_repeat_noise.ts";
import { privateSitesOf } from "./_private_sites.ts";
import type { Remark, RepeatNoise } from "./report.ts";
import type { Find, Outing, Signal } from "./rows.ts";
import type { SignalDraft } from "./_signal_row.ts";
import { statedLimits } from "./_stated_limits.ts";
import type { Table } from "./table.ts";

export interface JoinRowsOptions {
  readonly signalTable: Table;
  readonly outingTable: Table | undefined;
  /** The accepted outings of the table of outings, by id. */
  readonly outings: ReadonlyMap<string, Outing>;
  readonly findsOf: ReadonlyMap<string, readonly Find[]>;
  readonly machines: MachinesFile;
  readonly mapping: ReadonlyMap<string, string>;
  /** The log has a column that says what was dug. */
  readonly saysDug: boolean;
  readonly repeatNoise: readonly RepeatNoise[] | undefined;
  /** The mapping of a foreign log, for the limits that it states. */
  readonly columns: ColumnMapping | undefined;
}

/** What the rows of a log come to, when they are joined. */
export interface JoinedRows {
  readonly signals: readonly Signal[];
  readonly outings: readonly Outing[];
  readonly repeatNoise: readonly RepeatNoise[];
  readonly privateSites: readonly string[];
  readonly assumptions: readonly Remark[];
  readonly flags: readonly Remark[];
}

/** Joins accepted signals with their outings and finds, hides what is private, and derives the outcomes. */
export function joinRows(applied: Applied<SignalDraft>, options: JoinRowsOptions): JoinedRows {
  const { signalTable, outingTable, outings, findsOf, machines, mapping, saysDug, repeatNoise, columns } =
    options;
  const remarks = new Remarks();
  const assumed = new Remarks();
  const first = (index: number, value: string) => ({
    file: signalTable.file,
    line: signalTable.place(applied.records[index]! - 1, 0).line,
    value,
  });
  const privateSites = new Set<string>();
  for (const table of outingTable === undefined ? [signalTable] : [outingTable, signalTable]) {
    for (const site of privateSitesOf(table, mapping, (id) => outings.get(id)?.site ?? null)) {
      privateSites.add(site);
    }
  }

  // A signal may name another site than its outing does: what its outing hides, it hides too.
  for (const { outing_id, signal } of applied.rows) {
    const site = outing_id === null ? undefined : outings.get(outing_id)?.site;
    if (site !== undefined && privateSites.has(site)) privateSites.add(signal.site);
  }
  const usedOutings = new Map<string, Outing>();
  const idsOfKey = new Map<string, string>();
  const takenIds = new Set(applied.rows.flatMap((draft) => draft.outing_id ?? []));
  const sitesOfId = new Map<string, number>();
  const holes = new Map<string, number>();
  const joined = applied.rows.map((draft, i): Omit<Signal, "outcome"> => {
    const { signal, outing } = draft;
    const key = draft.outing_id === null
      ? JSON.stringify([signal.site, signal.date, signal.settings, signal.machine, signal.observer])
      : JSON.stringify([draft.outing_id, signal.site]);
    let outingId = idsOfKey.get(key);
    if (outingId === undefined) {
      if (draft.outing_id === null) {
        let number = idsOfKey.size + 1;
        while (takenIds.has(`outing-${number}`)) number++;
        outingId = `outing-${number}`;
        takenIds.add(outingId);
      } else {
        const sites = (sitesOfId.get(draft.outing_id) ?? 0) + 1;
        sitesOfId.set(draft.outing_id, sites);
        outingId = sites === 1 ? draft.outing_id : `${draft.outing_id}#${sites}`;
        if (sites > 1) assumed.add("dig-log", "outing_id", JOINED.sharedId, first(i, draft.outing_id));
      }
      idsOfKey.set(key, outingId);
      usedOutings.set(outingId, { outing_id: outingId, ...outing });
    }
    if (draft.outing_id === null) assumed.add("dig-log", null, JOINED.oneOuting, first(i, ""));
    const holeId = signal.hole_id ?? signal.signal_id;
    const finds = findsOf.get(holeId) ?? [];
    const dug = signal.dug === "no" && finds.length > 0 && !saysDug ? "yes" : signal.dug;
    if (dug !== "no") {
      const sharing = (holes.get(holeId) ?? 0) + 1;
      holes.set(holeId, sharing);
      if (sharing === 2) remarks.add("dig-log", "hole_id", JOINED.sharedHole, first(i, holeId));
    }
    return {
      ...signal,
      outing_id: outingId,
      dug,
      hole_id: dug === "no" && finds.length === 0 ? signal.hole_id ?? null : holeId,
      finds,
      kept_private: { ...signal.kept_private!, site_private: privateSites.has(signal.site) },
    };
  });
  const outingList = [...outings.values()].filter((outing) => !usedOutings.has(outing.outing_id)).concat([
    ...usedOutings.values(),
  ]);
  const noise = statedLimits(
    repeatNoise ?? measureRepeatNoise({ machines: machines.machines, signals: joined, outings: outingList }),
    columns,
  );
  const limitOf = new Map(noise.map((each) => [each.machine, each.limit]));
  const signals = joined.map((signal, i): Signal => {
    const repeatLimit = limitOf.get(signal.machine) ?? null;
    const outcome = deriveOutcome(signal, { repeatLimit });
    if (outcome.grade === "as-stated") {
      const facts = deriveOutcome({ ...signal, outcome_stated: null }, { repeatLimit });
      if (facts.status === "known" && facts.class !== outcome.class) {
        remarks.add("dig-log", "outcome_stated", JOINED.disagrees, first(i, signal.outcome_stated ?? ""));
      }
    }
    return { ...signal, outcome };
  });
  return {
    signals,
    outings: outingList,
    repeatNoise: noise,
    privateSites: [...privateSites],
    assumptions: assumed.list(),
    flags: remarks.list(),
  };
}
