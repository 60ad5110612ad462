import { Remarks } from "./apply_schema.ts";
import { mostFirst } from "./count_outcomes.ts";
import { outcomeFinder, OUTCOMES, sharedOutcome, STATED } from "./fast_outcomes.ts";
import { sharedHoles } from "./fast_holes.ts";
import { signalMaker } from "./fast_make_signals.ts";
import { noiseOfSignals } from "./fast_noise.ts";
import { joinOutings } from "./fast_outings.ts";
import { rowValues } from "./fast_row_values.ts";
import type { SignalTable } from "./fast_signal_table.ts";
import { JOINED } from "./_join_notes.ts";
import type { MachinesFile } from "./machines.ts";
import type { ColumnMapping } from "./mapping.ts";
import { privateSitesOf } from "./_private_sites.ts";
import type { OutcomeCount, Remark, RepeatNoise } from "./report.ts";
import type { Outing, Signal } from "./rows.ts";
import { statedLimits } from "./_stated_limits.ts";

export interface JoinSignalsOptions {
  readonly machines: MachinesFile;
  readonly mapping: ReadonlyMap<string, string>;
  /** The log has a column that says what was dug. */
  readonly saysDug: boolean;
  readonly repeatNoise: readonly RepeatNoise[] | null;
  /** The mapping of a foreign log, for the limits that it states. */
  readonly columns: ColumnMapping | undefined;
}

/** What the signals of a log come to, when they are joined with their outings, finds and outcomes. */
export interface JoinedSignals {
  readonly outings: readonly Outing[];
  readonly assumptions: readonly Remark[];
  readonly flags: readonly Remark[];
  readonly repeatNoise: readonly RepeatNoise[];
  readonly outcomes: readonly OutcomeCount[];
  readonly privateSites: readonly string[];
  /** Makes every signal. */
  signals(): Signal[];
}

/**
 * Joins the columns of a log as `loadDigLog` joins its rows, and gives what that gives. Null where a repeat limit is not
 * one: the strict path then says so. Throws FileFault where a mapping states a limit of an unknown machine.
 */
export function joinSignals(found: SignalTable, options: JoinSignalsOptions): JoinedSignals | null {
  const { machines, mapping, saysDug } = options;
  const { table, rows, count, words, of, machinesOf } = found;
  const values = rowValues(found);
  const { valueAt, first } = values;
  const assumed = new Remarks(), flagged = new Remarks();

  const privateSites = new Set(privateSitesOf(table, mapping, () => null, found.marked));
  const hidden = words.site.values.map((site) => privateSites.has(site as string));
  const { outings, outingAt } = joinOutings(found, values, assumed);
  const holeOf = sharedHoles(found, { values, flagged, saysDug });

  const measured = options.repeatNoise ??
    noiseOfSignals(found, { machines: machines.machines, outings, holeOf });
  const noise = statedLimits(measured, options.columns);
  const limits = new Map(noise.map((each) => [each.machine, each.limit]));
  const limitOf = machinesOf.map(({ machine }) => limits.get(machine.machine) ?? null);
  if (limitOf.some((limit) => limit !== null && !(limit >= 0 && Number.isFinite(limit)))) return null;
  const outcomeOf = outcomeFinder(found, (row) => limitOf[of[row]!]!);
  const outcomes = new Uint8Array(table.rowCount);
  const counts = OUTCOMES.map(() => 0);
  for (let i = 0; i < count; i++) {
    const row = rows[i]!;
    const hole = holeOf.get(row);
    const derive = (without: boolean): number =>
      hole === undefined ? outcomeOf(row, without) : sharedOutcome(found, row, {
        dug: valueAt("dug", row),
        finds: hole.finds,
        limit: limitOf[of[row]!]!,
        without,
      });
    const outcome = hole === undefined ? outcomeOf(row) : derive(false);
    outcomes[row] = outcome;
    counts[outcome]!++;
    if (outcome >= STATED) {
      const facts = OUTCOMES[derive(true)]!;
      if (facts.status === "known" && facts.class !== OUTCOMES[outcome]!.class) {
        flagged.add(
          "dig-log",
          "outcome_stated",
          JOINED.disagrees,
          first(row, valueAt("outcome_stated", row)),
        );
      }
    }
  }

  const makeSignal = signalMaker(found, { outings, outingAt, values, holeOf, hidden, outcomes });
  return {
    outings,
    assumptions: assumed.list(),
    flags: flagged.list(),
    repeatNoise: noise,
    outcomes: mostFirst(
      OUTCOMES.map((outcome, i) => ({ ...outcome, count: counts[i]! })).filter(({ count }) => count > 0),
    ),
    privateSites: [...privateSites],
    signals() {
      table.prepareText();
      const out = new Array<Signal>(count);
      for (let i = 0; i < count; i++) out[i] = makeSignal(rows[i]!);
      return out;
    },
  };
}
