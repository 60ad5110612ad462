import {
  type DragCurve,
  driftOfTrials,
  fitDragCurves,
  type NextTrials,
  nextTrials,
  PLAN_FIELDS,
  planGarden,
  type PlannedNeighbour,
  type PlannedTarget,
} from "../garden/mod.ts";
import type { Garden } from "../log/mod.ts";
import { isPresent } from "../numbers/mod.ts";
import { logCsv } from "../virtual/mod.ts";
import { gardenSheet } from "../writeup/garden_sheet.ts";
import { columnsOf, CommandLineFault, fromHere, readCommandLine, seedOf } from "./_command_line.ts";
import { readLogs } from "./_read_logs.ts";
import { readingOptionsOf } from "./_reading_options.ts";
import { root, runTask, say } from "./_run.ts";
import { outFolder, writeOut } from "./_write_out.ts";

const demoTargets = "copper disc:24";
const demoNeighbours = "small nail:nail:60x4,large nail:nail:110x6.5";

/** "copper disc:24, lead ball:18": names and diameters in millimetres. */
function targetsOf(text: string): PlannedTarget[] {
  return text.split(",").map((part) => {
    const [name = "", size = "", ...more] = part.split(":").map((word) => word.trim());
    if (name === "" || !(Number(size) > 0) || more.length > 0) {
      throw new CommandLineFault(`Cannot use --targets: write NAME:DIAMETER_MM, got "${part.trim()}"`);
    }
    return { name, sizeMm: Number(size) };
  });
}

/** "large nail:nail:110x6.5": names, kinds, length and thickness in millimetres. */
function neighboursOf(text: string): PlannedNeighbour[] {
  return text.split(",").map((part) => {
    const [name = "", kind = "", size = ""] = part.split(":").map((word) => word.trim());
    const [length = NaN, thickness = NaN] = size.split("x").map(Number);
    if (name === "" || kind === "" || !(length > 0 && thickness > 0)) {
      throw new CommandLineFault(
        `Cannot use --neighbours: write NAME:KIND:LENGTHxTHICKNESS in millimetres, got "${part.trim()}"`,
      );
    }
    return { name, kind, lengthMm: length, thicknessMm: thickness };
  });
}

/** The objects of a log whose half gaps can be narrowed, laid as they were, each with the gaps that teach most, and where the log ends. */
function fromLog(garden: Garden, next: readonly NextTrials[], curves: readonly DragCurve[]) {
  const targets = new Map<string, PlannedTarget>(), neighbours = new Map<string, PlannedNeighbour>();
  let height: { depthCm: number; coilHeightCm: number } | null = null;
  for (const { pair, gapsCm } of next) {
    const curve = curves.find((each) => each.pair.key === pair.key)!;
    const trial = garden.trials.find((each) =>
      each.target === pair.target && each.neighbour === pair.neighbour
    )!;
    const { target_size_mm: size, neighbour_length_mm: length, neighbour_thickness_mm: thickness } = trial;
    if (gapsCm.length === 0 || size === null || length === null || thickness === null) continue;
    targets.set(pair.target, { name: pair.target, sizeMm: size });
    height ??= { depthCm: curve.depth_cm ?? 0, coilHeightCm: trial.coil_height_cm ?? 8 };
    const half = isPresent(curve.halfGapCm) ? curve.halfGapCm.value : -1;
    const known = neighbours.get(pair.neighbour);
    // A curve wants gaps on both sides of what is looked for, beside those that teach most.
    const around = [
      ...gapsCm,
      0,
      Math.max(2, Math.round(gapsCm[0]! * 1.5)),
      Math.max(4, Math.round(gapsCm[0]! * 2)),
    ];
    const gaps = [...new Set([...known?.gapsCm ?? [], ...around])].sort((a, b) => a - b);
    while (gaps.length < 4) gaps.push(gaps.at(-1)! + 1);
    neighbours.set(pair.neighbour, {
      name: pair.neighbour,
      kind: pair.kind ?? "nail",
      lengthMm: length,
      thicknessMm: thickness,
      headingDeg: trial.neighbour_heading_deg ?? 90,
      tiltDeg: trial.neighbour_tilt_deg ?? 0,
      gapsCm: gaps,
      expectedHalfGapCm: Math.max(known?.expectedHalfGapCm ?? -1, half),
    });
  }
  const ends = (texts: readonly string[]) =>
    1 + texts.reduce((most, text) => Math.max(most, Number(/(\d+)\D*$/.exec(text)?.[1] ?? 0)), 0);
  return {
    targets: [...targets.values()],
    neighbours: [...neighbours.values()],
    ...(height ?? {}),
    firstBlock: ends(garden.trials.map((trial) => trial.block)),
    firstTrial: ends(garden.trials.map((trial) => trial.trial_id)),
  };
}

/** Gaps with how often to lay each. */
function gapWords(gapsCm: readonly number[]): string {
  return [...new Set(gapsCm)].map((gap) => {
    const times = gapsCm.filter((each) => each === gap).length;
    return `${gap} cm${times > 1 ? ` (${times} times)` : ""}`;
  }).join(", ");
}

function tell(next: readonly NextTrials[]): void {
  for (const { pair, gapsCm, widthNowCm, widthAfterCm, advice } of next) {
    const name = `${pair.machine}, ${pair.target} + ${pair.neighbour}`;
    console.log(
      gapsCm.length === 0
        ? `${name}: ${advice ?? "nothing to shrink"}`
        : `${name}: lay ${gapWords(gapsCm)}${
          widthNowCm === null
            ? ""
            : `; interval ${widthNowCm.toFixed(1)} cm wide, then about ${widthAfterCm!.toFixed(1)}`
        }`,
    );
  }
}

await runTask(async (args) => {
  const line = readCommandLine("plan-garden", args);
  const { targets, neighbours, settings, gaps, hours, minutes, width, depth, spacer, coil, machines, out } =
    line.values;
  const [log] = line.files;
  const seed = seedOf(line);
  const number = (option: string, text: string | undefined): Record<string, number> => {
    if (text === undefined) return {};
    const value = Number(text);
    if (!Number.isFinite(value) || value < 0) {
      throw new CommandLineFault(`Cannot use --${option}: it must be a number of 0 or above, got "${text}"`);
    }
    return { [option]: value };
  };
  let next: readonly NextTrials[] = [], fitted: ReturnType<typeof fromLog> | null = null, usual = "A-open";
  if (log !== undefined) {
    const { gardenLog } = await readLogs({
      gardenLog: fromHere(log),
      machines: machines === undefined ? undefined : fromHere(machines),
      columns: columnsOf(line),
    }, { strict: false, reading: readingOptionsOf(line) });
    const garden = gardenLog!.garden, drift = driftOfTrials(garden);
    const wanted = settings ?? garden.trials[0]?.settings ?? garden.trials[0]?.machine;
    usual = wanted ?? usual;
    const curves = fitDragCurves(drift);
    const own = nextTrials(drift, { curves });
    tell(own);
    next = own.filter(({ pair }) =>
      garden.trials.some((trial) =>
        trial.target === pair.target && trial.neighbour === pair.neighbour &&
        trial.machine === pair.machine &&
        (trial.settings === wanted || trial.machine === wanted)
      )
    );
    fitted = fromLog(garden, next, curves);
    if (fitted.targets.length === 0 && targets === undefined) {
      say(
        "Nothing in this log is left to shrink, or its objects have no sizes: name --targets and --neighbours.",
      );
      return 0;
    }
  }
  const gapsCm = gaps?.split(",").map((text) => Number(text));
  if (gapsCm?.some((gap) => !Number.isFinite(gap))) {
    throw new CommandLineFault(`Cannot use --gaps: write centimetres with commas between, got "${gaps}"`);
  }
  let plan;
  try {
    plan = planGarden({
      ...(fitted ?? {}),
      targets: targets !== undefined ? targetsOf(targets) : fitted?.targets ?? targetsOf(demoTargets),
      neighbours: neighbours !== undefined
        ? neighboursOf(neighbours)
        : fitted?.neighbours ?? neighboursOf(demoNeighbours),
      settings: settings ?? usual,
      seed,
      blind: line.switches.has("blind"),
      ...(gapsCm ? { gapsCm } : {}),
      ...number("hours", hours),
      ...renamed(number("minutes", minutes), "minutesPerTrial"),
      ...renamed(number("width", width), "widthCm"),
      ...renamed(number("depth", depth), "depthCm"),
      ...renamed(number("spacer", spacer), "coilHeightCm"),
      ...renamed(number("coil", coil), "coilWidthCm"),
    });
  } catch (error) {
    if (error instanceof RangeError && error.message.startsWith("Cannot plan a garden")) {
      throw new CommandLineFault(error.message);
    }
    throw error;
  }
  const folder = out === undefined ? `${root}/write-ups/garden-plan` : fromHere(out);
  await outFolder(folder);
  await writeOut({
    [`${folder}/garden-plan.html`]: gardenSheet(plan),
    [`${folder}/garden-plan.csv`]: logCsv(PLAN_FIELDS, plan.trials),
  });
  say(
    `${plan.trials.length} trials in ${plan.blocks} blocks, about ${
      (plan.minutes / 60).toFixed(1)
    } hours. ${plan.reason}.`,
  );
  say(`To print: ${folder}/garden-plan.html\nTo fill in and load: ${folder}/garden-plan.csv`);
  return 0;
});

/** The one number under another name. */
function renamed(given: Record<string, number>, name: string): Record<string, number> {
  const [value] = Object.values(given);
  return value === undefined ? {} : { [name]: value };
}
