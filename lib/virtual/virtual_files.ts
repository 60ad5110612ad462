import { logCsv } from "./log_csv.ts";
import type { LogRow } from "./_log_row.ts";
import { MOST_SIGNALS_WITH_PROBABILITIES, seasonProbabilities } from "./season_probabilities.ts";
import { VIRTUAL_LIMITS, virtualGarden, type VirtualGardenOptions } from "./virtual_garden.ts";
import { VIRTUAL_GARDEN_FIELDS } from "./virtual_garden_plan.ts";
import { VIRTUAL_MACHINES, type VirtualMachine } from "./virtual_machine.ts";
import {
  type SignalTruth,
  VIRTUAL_DIG_RULE,
  VIRTUAL_SEASON_FIELDS,
  virtualSeason,
  type VirtualSeasonOptions,
} from "./virtual_season.ts";

/** A file of a simulated log, or the next piece of one: pieces of one name belong together, in order. */
export interface VirtualFile {
  readonly name: string;
  readonly text: string;
}

/**
 * Gives the text of a machines file for virtual machines.
 *
 * @example
 * ```ts
 * import { parseMachines, virtualMachinesFile } from "overiron";
 * if (parseMachines(virtualMachinesFile()).machines.length !== 2) throw new Error("wrong");
 * ```
 */
export function virtualMachinesFile(machines: readonly VirtualMachine[] = VIRTUAL_MACHINES): string {
  const each = [...new Map(machines.map(({ machine }) => [machine.machine, machine])).values()];
  const settings = machines.map((
    { settings: { settings, machine, coil, discrimination, frequency_khz } },
  ) => ({
    settings,
    machine,
    coil,
    discrimination,
    frequency_khz,
  }));
  return JSON.stringify({ schema: "overiron-machines/1", machines: each, settings }, null, 2) + "\n";
}

const PAIR_FIELDS = ["half_gap_cm", "half_gap_is", "loudness_ratio_touching", "phase_difference_deg"];
const TRIAL_FIELDS = ["trial_id", "drag", "loudness_ratio", "phase_difference_deg", "drag_closed_form"];

/**
 * Gives the files of a virtual garden: `garden-log.csv`, `machines.json`, `truth-pairs.csv` (the half gap of each pair as laid, or why there is none),
 * `truth-trials.csv` (drag without noise and by the closed form) and `about.txt` with the limits.
 *
 * Throws what `virtualGarden` throws.
 *
 * @example
 * ```ts
 * import { virtualGardenFiles, virtualGardenPlan } from "overiron";
 * const names = virtualGardenFiles(virtualGardenPlan({ blocksA: 1, blocksB: 0 })).map(({ name }) => name);
 * if (!names.includes("truth-pairs.csv")) throw new Error("wrong");
 * ```
 */
export function virtualGardenFiles(
  plan: readonly LogRow[],
  options: VirtualGardenOptions = {},
): readonly VirtualFile[] {
  const { rows, truthPairs, truthTrials } = virtualGarden(plan, options);
  const known = new Set(VIRTUAL_GARDEN_FIELDS);
  const more = [...new Set(plan.flatMap((row) => Object.keys(row)))].filter((field) => !known.has(field));
  const laid = Object.keys(truthPairs[0] ?? {}).filter((field) => !PAIR_FIELDS.includes(field));
  const about = "A virtual garden: nothing in it was laid or measured.\n" + VIRTUAL_LIMITS + "\n" +
    "Truth: half gaps and drags as the same physics gives them without noise. half_gap_is: value, never (the drag is below one half at every gap), no gap (over or under), " +
    "too alike (clean and alone read within 5 degrees of phase), silent.\n";
  return [
    { name: "garden-log.csv", text: logCsv([...VIRTUAL_GARDEN_FIELDS, ...more], rows) },
    { name: "machines.json", text: virtualMachinesFile(options.machines) },
    { name: "truth-pairs.csv", text: logCsv([...laid, ...PAIR_FIELDS], truthPairs) },
    { name: "truth-trials.csv", text: logCsv(TRIAL_FIELDS, truthTrials) },
    { name: "about.txt", text: about },
  ];
}

const TRUTH_FIELDS = [
  "signal_id",
  "kind",
  "class",
  "depth_cm",
  "ground_lag_deg",
  "dig_chance",
  "p_ferrous",
  "p_non_ferrous",
  "p_masked_good",
  "effective_scenes",
];
const PIECE = 2000;
const withoutHeading = (text: string): string => text.slice(text.indexOf("\n") + 1);

function truthRow(truth: SignalTruth): Record<string, string> {
  return {
    signal_id: truth.signalId,
    kind: truth.kind,
    class: truth.class ?? "",
    depth_cm: String(truth.depthCm),
    ground_lag_deg: String(truth.groundLagDeg),
    dig_chance: String(truth.digChance),
  };
}

const digits = (value: number): string => String(Number(value.toPrecision(6)));

/** Rows of truth with their probabilities. */
function truthRows(truths: readonly SignalTruth[], seed: number): LogRow[] {
  const known = seasonProbabilities(truths, { seed });
  return truths.map((truth, i) => {
    const row = truthRow(truth);
    if ("absent" in known) return row;
    const p = known[i]!;
    return {
      ...row,
      p_ferrous: digits(p.ferrous),
      p_non_ferrous: digits(p.nonFerrous),
      p_masked_good: digits(p.maskedGood),
      effective_scenes: digits(p.effectiveScenes),
    };
  });
}

/**
 * Gives the files of a virtual season piece by piece: `dig-log.csv`, `machines.json`, `truth.csv` (kind, class, true depth, and up to 20,000 signals the true class
 * probabilities given the readings) and `about.txt`.
 *
 * Throws what `virtualSeason` throws.
 *
 * @example
 * ```ts
 * import { virtualSeasonFiles } from "overiron";
 * let rows = 0;
 * for (const { name, text } of virtualSeasonFiles({ signals: 60, probabilities: false })) {
 *   if (name === "dig-log.csv") rows += text.split("\n").length - 1;
 * }
 * if (rows !== 61) throw new Error("wrong");
 * ```
 */
export function* virtualSeasonFiles(
  options: VirtualSeasonOptions & {
    /** Whether to simulate class probabilities, which takes about 15 seconds. Default true. */
    readonly probabilities?: boolean;
  } = {},
): Generator<VirtualFile> {
  const { probabilities = true, ...season } = options;
  const { signals = 460, seed = 1, machines = VIRTUAL_MACHINES } = season;
  const simulated = probabilities && signals <= MOST_SIGNALS_WITH_PROBABILITIES;
  yield { name: "machines.json", text: virtualMachinesFile(machines) };
  yield {
    name: "about.txt",
    text: "A virtual season: nothing in it was found or measured.\n" + VIRTUAL_LIMITS + "\n" +
      VIRTUAL_DIG_RULE + "\n" +
      "Mineral sites lower whatever lies deeper than 10 cm by 1.5 degrees of phase a centimetre: stated, not derived.\n" +
      (simulated
        ? "Truth holds the probabilities of the three classes given the readings in both directions, the machine and the site, by simulation; few effective scenes make an uncertain one.\n"
        : probabilities
        ? `Truth holds no probabilities: they are simulated for at most ${MOST_SIGNALS_WITH_PROBABILITIES} signals.\n`
        : "Truth holds no probabilities: none were asked for.\n"),
  };
  let rows: LogRow[] = [], truths: SignalTruth[] = [], first = true;
  const flush = function* (): Generator<VirtualFile> {
    const log = logCsv(VIRTUAL_SEASON_FIELDS, rows);
    yield { name: "dig-log.csv", text: first ? log : withoutHeading(log) };
    if (!simulated) {
      const truth = logCsv(TRUTH_FIELDS, truths.map(truthRow));
      yield { name: "truth.csv", text: first ? truth : withoutHeading(truth) };
      truths = [];
    }
    rows = [];
    first = false;
  };
  for (const { row, truth } of virtualSeason(season)) {
    rows.push(row);
    truths.push(truth);
    if (rows.length === PIECE) yield* flush();
  }
  if (rows.length > 0) yield* flush();
  // The simulation must not meet the season's own streams: another seed.
  if (simulated) yield { name: "truth.csv", text: logCsv(TRUTH_FIELDS, truthRows(truths, seed + 1)) };
}
