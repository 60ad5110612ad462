import { FIELDS, OUTCOME_FIELDS } from "../log/fields.ts";
import type { Machine, Passes, Signal } from "../log/mod.ts";
import { type SweepFeatures, sweepFeatures, type SweepValue } from "../sweep/mod.ts";
import { MISSING } from "./feature_table.ts";

/** One cell before it goes into a table: a number, or the reason (1 to 3) why there is none. */
export type FeatureCell = { readonly value: number } | { readonly why: 1 | 2 | 3 };

/** What a feature is computed from. */
export interface FeatureSource {
  readonly signal: Signal;
  readonly machine: Machine;
  readonly sweep: SweepFeatures;
  /** The same, from no more than the first three passes each way. */
  readonly shortSweep: SweepFeatures;
  /** Median centre of the signals below the iron break at this site; null where there are under three of them. */
  readonly siteIron: number | null;
}

/** One feature a model may use: name, unit, meaning, and the fields of the log it comes from, all known before the dig. */
export interface Feature {
  readonly name: string;
  readonly unit: string;
  readonly meaning: string;
  readonly fields: readonly string[];
  readonly compute: (source: FeatureSource) => FeatureCell;
}

const notLogged: FeatureCell = { why: MISSING.notLogged };

function ofSweep(value: SweepValue, change: (number: number) => number = (number) => number): FeatureCell {
  if ("value" in value) return { value: change(value.value) };
  if (value.absent === "silent") return { why: MISSING.silent };
  return value.absent === "not-logged" ? notLogged : { why: MISSING.tooFewPasses };
}

const ofWord = (word: string | null, codes: Readonly<Record<string, number>>): FeatureCell => {
  const value = word === null ? undefined : codes[word];
  return value === undefined ? notLogged : { value };
};

const passFields = ["readings_right", "readings_left", "silent_right", "silent_left"];

/** Every feature a model may use, in the order of the columns. */
export const FEATURES: readonly Feature[] = [
  {
    name: "centre",
    unit: "reading units",
    meaning: "Median of the passes that gave a number",
    fields: passFields,
    compute: ({ sweep }) => ofSweep(sweep.centre),
  },
  {
    name: "spread",
    unit: "reading units",
    meaning: "Spread of the passes about each direction's median, corrected for how few they are",
    fields: passFields,
    compute: ({ sweep }) => ofSweep(sweep.spreadCorrected),
  },
  {
    name: "asymmetry",
    unit: "reading units",
    meaning: "How much farther apart passes to the right and to the left are than passes the same way",
    fields: passFields,
    compute: ({ sweep }) => ofSweep(sweep.asymmetryCorrected),
  },
  {
    name: "turnChange",
    unit: "reading units",
    meaning: "How much farther apart passes after a quarter turn and before it are than passes of one kind",
    fields: [...passFields, "readings_cross", "silent_cross"],
    compute: ({ sweep }) => ofSweep(sweep.turnChangeCorrected),
  },
  {
    name: "dropout",
    unit: "share",
    meaning: "Share of the passes that gave no number",
    fields: [...passFields, "passes_right", "passes_left"],
    compute: ({ sweep }) => ofSweep(sweep.dropout),
  },
  {
    name: "ironShare",
    unit: "share",
    meaning: "Share of the readings below the iron break",
    fields: passFields,
    compute: ({ sweep }) => ofSweep(sweep.ironShare),
  },
  {
    name: "bestRepeat",
    unit: "reading units",
    meaning: "Highest reading met twice in the first three passes each way, above the centre",
    fields: passFields,
    compute: ({ sweep, shortSweep }) => {
      const { centre } = sweep;
      return "value" in centre
        ? ofSweep(shortSweep.bestRepeat, (best) => best - centre.value)
        : ofSweep(shortSweep.bestRepeat);
    },
  },
  {
    name: "indicatedDepthCm",
    unit: "cm",
    meaning: "Depth the machine showed, where it shows centimetres",
    fields: ["depth_indicated"],
    compute: ({ signal: { depth_indicated: depth } }) =>
      typeof depth === "number" ? { value: depth } : notLogged,
  },
  {
    name: "indicatedDepthStep",
    unit: "steps",
    meaning: "Depth the machine showed, where it shows words: steps from shallow over middle to deep",
    fields: ["depth_indicated"],
    compute: ({ signal: { depth_indicated: depth } }) =>
      typeof depth === "string" ? ofWord(depth, { shallow: 0, middle: 1, deep: 2 }) : notLogged,
  },
  {
    name: "bothWays",
    unit: "yes 1, no 0",
    meaning: "Whether it sounded in both directions",
    fields: ["both_ways"],
    compute: ({ signal }) => ofWord(signal.both_ways, { yes: 1, no: 0 }),
  },
  {
    name: "afterTurn",
    unit: "steps",
    meaning: "What it did after a quarter turn: steps from holds over changes to gone",
    fields: ["after_turn"],
    compute: ({ signal }) => ofWord(signal.after_turn, { holds: 0, changes: 1, gone: 2 }),
  },
  {
    name: "ironNear",
    unit: "steps",
    meaning: "How much iron sounded around it: steps from none over some to full",
    fields: ["iron_near"],
    compute: ({ signal }) => ofWord(signal.iron_near, { none: 0, some: 1, full: 2 }),
  },
  {
    name: "ownCall",
    unit: "good 1, cannot say 0.5, iron 0",
    meaning: "The person's own call before the dig",
    fields: ["my_call"],
    compute: ({ signal }) => ofWord(signal.my_call, { good: 1, "cannot-say": 0.5, iron: 0 }),
  },
  {
    name: "aboveSiteIron",
    unit: "reading units",
    meaning: "Centre above the median of what reads as iron at the same site",
    fields: [...passFields, "site"],
    compute: ({ sweep, siteIron }) =>
      siteIron === null ? notLogged : ofSweep(sweep.centre, (centre) => centre - siteIron),
  },
];

/** The features that come from the machine and the sweep alone: not the person's call, not the site's iron. */
export const READING_FEATURES: readonly string[] = FEATURES.map((feature) => feature.name)
  .filter((name) => name !== "ownCall" && name !== "aboveSiteIron");

/**
 * Gives the features of those names, in the order of {@link FEATURES}.
 *
 * Throws RangeError for a field of the log that is known only after the dig, by its name: a model that used it could not be
 * used where it is needed. Throws RangeError for any other name that is no feature.
 *
 * @example
 * ```ts
 * import { featuresNamed } from "overiron";
 * let message = "";
 * try { featuresNamed(["centre", "iron_evidence"]); } catch (error) { message = (error as Error).message; }
 * if (!message.includes("iron_evidence")) throw new Error(message);
 * ```
 */
export function featuresNamed(names: readonly string[]): readonly Feature[] {
  for (const name of names) {
    if (FEATURES.some((feature) => feature.name === name)) continue;
    const fields = [...FIELDS.signal, ...FIELDS.outing, ...FIELDS.find, ...OUTCOME_FIELDS].filter((field) =>
      field.name === name
    );
    if (fields.some((field) => field.known === "after") || /^outcome/.test(name)) {
      throw new RangeError(
        `Cannot use feature: a model may use only what is known before the dig, got "${name}", known after it`,
      );
    }
    const choice = FEATURES.map((feature) => feature.name).join(", ");
    throw new RangeError(`Cannot use feature: it must be one of ${choice}, got "${name}"`);
  }
  if (new Set(names).size !== names.length) {
    throw new RangeError(`Cannot use features: each may stand once, got ${names.join(", ")}`);
  }
  return FEATURES.filter((feature) => names.includes(feature.name));
}

/** The first passes of a cell: features that grow with the number of passes are taken from as many for all. */
export function firstPasses(passes: Passes | null, most: number): Passes | null {
  if (passes === null || passes.kind !== "passes" || passes.readings.length <= most) return passes;
  return { ...passes, readings: passes.readings.slice(0, most) };
}

/** The sweep features of a signal, from all its passes and from no more than three each way. */
export function sweepsOf(
  signal: Signal,
  machine: Machine,
  repeatNoise: number | undefined,
): { sweep: SweepFeatures; shortSweep: SweepFeatures } {
  const options = repeatNoise === undefined ? { machine } : { machine, repeatNoise };
  const { right, left, cross } = signal;
  const short = { right: firstPasses(right, 3), left: firstPasses(left, 3), cross };
  return { sweep: sweepFeatures(signal, options), shortSweep: sweepFeatures(short, options) };
}
