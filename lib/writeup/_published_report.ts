import {
  countOutcomes,
  deriveOutcome,
  type DigLog,
  type GardenLog,
  measureRepeatNoise,
  OUTCOME_RULE,
  type PublishedReport,
  type Remark,
} from "../log/mod.ts";

/**
 * Whether a signal's hole gave up a find that has still to be reported: one marked "no" that was not thrown away.
 * "not-needed" and "yes" are for finds that may be shown.
 */
const awaitsReport = (signal: DigLog["season"]["signals"][number]): boolean =>
  signal.finds.some((find) => find.reported === "no" && find.keep !== "no");

/** A dig log as it may be published, and how many signals that leaves out, by the reason. */
export interface WithoutPrivate {
  readonly log: DigLog;
  readonly privateSignals: number;
  /** Of sites that may be shown, signals of a hole with a find that has still to be reported. */
  readonly unreported: number;
}

/**
 * The same dig log without anything from a private site and without signals whose find has still to be reported, its
 * outcomes derived from what is left.
 */
export function withoutPrivate(log: DigLog): WithoutPrivate {
  const secret = new Set(
    log.season.signals.filter((signal) => signal.kept_private?.site_private).map((signal) => signal.site),
  );
  for (const site of log.privateSites) secret.add(site);
  // A hole may have been logged as several signals: none of them shows what it held.
  const holes = new Set(
    log.season.signals.filter(awaitsReport).map((signal) => signal.hole_id ?? signal.signal_id),
  );
  const shown = log.season.signals.filter((signal) => !secret.has(signal.site));
  const kept = shown.filter((signal) => !holes.has(signal.hole_id ?? signal.signal_id));
  const privateSignals = log.season.signals.length - shown.length, unreported = shown.length - kept.length;
  if (secret.size === 0 && holes.size === 0) return { log, privateSignals, unreported };
  const outings = (log.season.outings ?? []).filter((outing) => !secret.has(outing.site));
  if (kept.length === 0) {
    throw new RangeError(
      `Cannot publish data: need a signal that may be shown, got ${privateSignals} of private sites and ${unreported} with a find still to be reported`,
    );
  }
  const repeatNoise = measureRepeatNoise({ machines: log.season.machines, signals: kept, outings });
  const limits = new Map(repeatNoise.map((each) => [each.machine, each.limit]));
  const signals = kept.map((signal) => ({
    ...signal,
    outcome: deriveOutcome(signal, { repeatLimit: limits.get(signal.machine) ?? null }),
  }));
  return {
    log: {
      ...log,
      season: { ...log.season, signals, outings },
      report: { ...log.report, repeatNoise, outcomes: countOutcomes(signals) },
    },
    privateSignals,
    unreported,
  };
}

const withoutFirst = ({ first: _, ...remark }: Remark): Omit<Remark, "first"> => remark;

/** The load report without file names, values or headings that no field has. */
export function publishedReport(
  before: DigLog | null,
  after: DigLog | null,
  garden: GardenLog | null,
): PublishedReport {
  const reports = [after?.report, garden?.report].filter((report) => report !== undefined);
  const byRule = new Map<string, { role: string; field: string | null; rule: string; count: number }>();
  for (const { role, faults } of reports.flatMap((report) => report.rejected)) {
    for (const { field, rule } of faults) {
      const key = JSON.stringify([role, field, rule]);
      const known = byRule.get(key);
      if (known !== undefined) known.count++;
      else byRule.set(key, { role, field, rule, count: 1 });
    }
  }
  const held: Readonly<Record<string, number>> = before === null || after === null ? {} : {
    "dig-log": before.season.signals.length - after.season.signals.length,
    outings: before.report.accounts.some((account) => account.role === "outings")
      ? (before.season.outings?.length ?? 0) - (after.season.outings?.length ?? 0)
      : 0,
    finds: new Set(before.season.signals.flatMap((signal) => signal.finds)).size -
      new Set(after.season.signals.flatMap((signal) => signal.finds)).size,
  };
  // A machine that nothing published was made with stays unnamed.
  const used = new Set(
    [...after?.season.signals ?? [], ...after?.season.outings ?? []].map((row) => row.machine),
  );
  return {
    schema: "overiron-load-report/1",
    inputs: reports.flatMap((report) => report.accounts).map(({ file: _, ...account }) => ({
      ...account,
      heldBack: held[account.role] ?? 0,
    })),
    spacedX: {
      ...(after === null ? {} : { "dig-log": after.report.spacedX }),
      ...(garden === null ? {} : { "garden-log": garden.report.spacedX }),
    },
    rejectedByRule: [...byRule].sort(([a], [b]) => a < b ? -1 : 1).map(([, entry]) => entry),
    assumptions: reports.flatMap((report) => report.assumptions.map(withoutFirst)),
    flags: reports.flatMap((report) => report.flags.map(withoutFirst)),
    ignoredColumns: reports.reduce((sum, report) => sum + report.ignored.length, 0),
    outcomeRule: OUTCOME_RULE,
    repeatNoise: (after?.report.repeatNoise ?? []).filter((noise) => used.has(noise.machine)),
    outcomes: after?.report.outcomes ?? [],
  };
}
