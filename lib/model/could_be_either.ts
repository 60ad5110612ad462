import { absent, type Estimate, type Measure, measured, shareEstimate } from "../numbers/mod.ts";
import { OUTCOMES } from "./classifier.ts";
import { ratioBySite } from "./ratio_by_site.ts";
import { TWO_CLASSES } from "./score_engine.ts";

/** Fewest cases of a class that can set its threshold; below, the class is in every set. */
export const LEAST_CALIBRATION_CASES = 9;

/** Which outcomes each signal could be, at a stated level, and how often what came out was among them. */
export interface CouldBeEither {
  readonly level: number;
  /** What is told apart: the three outcomes, or ferrous and "worth a hole". */
  readonly classes: readonly string[];
  /** One set a signal: bit k is class k. */
  readonly sets: Uint8Array;
  /** Rows: the class that came out; columns: how many classes the set held, from none to all. */
  readonly sizes: readonly (readonly number[])[];
  /** Share of signals whose set holds one class only. */
  readonly single: Estimate;
  /** Share of signals whose set held what came out: all, and a class at a time. */
  readonly covered: Estimate;
  readonly coveredByClass: readonly Estimate[];
  /** The same at each site, in the order of site numbers: signals of one site taken as independent. */
  readonly coveredBySite: readonly { readonly site: number; readonly covered: Estimate }[];
  /** Classes that had too few cases at some point and were then put into every set, with the fewest cases they had. */
  readonly always: readonly { readonly name: string; readonly cases: number }[];
}

/** Options of {@link couldBeEither}. */
export interface CouldBeEitherOptions {
  /** Share of each class that its sets should hold, above 0 and below 1. Default 0.9. */
  readonly level?: number;
  /** What was kept whole in the folds and is kept out of its own calibration, a number a row. */
  readonly group: Int32Array;
  /** What that is, for `n`. Default "sites". */
  readonly groups?: string;
  /** The site of each row, for the coverage by site. Default: `group`. */
  readonly site?: Int32Array;
  /** 2: non-ferrous and masked good are one class, "worth a hole". Default 3. */
  readonly classes?: 2 | 3;
}

/**
 * Tells which outcomes a signal could be: prediction sets by class (label-conditional conformal sets), from out-of-fold
 * probabilities.
 *
 * A class is in a signal's set when its probability is not stranger than all but a share 1 - level of that class's cases at the other
 * groups: the threshold of each class comes from every row outside the group judged, so no site has a part in its own
 * calibration. A class with fewer than 9 such cases, or fewer than the level needs, is in every set. A set may be empty: nothing seen
 * so far looks like it.
 *
 * `probabilities` is n x 3 by row, `outcome` 0, 1 or 2 a row. The level holds on average for signals that come from the same
 * draw as those that calibrate; on ground of another kind it is not promised, which is why coverage is given by site. Intervals of
 * shares are by group (see {@link ratioBySite}); those at one site are Wilson's. Sources: Vovk, Gammerman and Shafer (2005),
 * Algorithmic Learning in a Random World, section 4.5; Sadinle, Lei and Wasserman (2019), JASA 114:223-234.
 *
 * Throws RangeError when lengths differ or the level is not between 0 and 1.
 *
 * @example
 * ```ts
 * import { couldBeEither } from "overiron";
 * // Twenty signals at two sites, all but one of them plain to see.
 * const group = Int32Array.from({ length: 40 }, (_, i) => i % 2);
 * const outcome = Uint8Array.from({ length: 40 }, (_, i) => i < 20 ? 0 : 1);
 * const p = Float64Array.from({ length: 120 }, (_, at) => [at < 60 ? 0.8 : 0.1, at < 60 ? 0.1 : 0.8, 0.1][at % 3]!);
 * const { sets, always } = couldBeEither(p, outcome, { group });
 * // Bit 0 is ferrous; masked good was never met, so nothing rules it out.
 * if (sets[0] !== 0b101 || always[0]!.name !== "masked-good") throw new Error(String(sets));
 * ```
 */
export function couldBeEither(
  probabilities: Float64Array,
  outcome: Uint8Array,
  options: CouldBeEitherOptions,
): CouldBeEither {
  const { level = 0.9, group, groups = "sites", site = group, classes = 3 } = options;
  const n = outcome.length;
  if (probabilities.length !== 3 * n || group.length !== n || site.length !== n) {
    throw new RangeError(
      `Cannot make sets: need 3 probabilities, one group and one site a row, got ${probabilities.length}, ${group.length} and ${site.length} for ${n} rows`,
    );
  }
  if (!(level > 0 && level < 1)) {
    throw new RangeError(`Cannot make sets: level must be above 0 and below 1, got ${level}`);
  }
  const names = classes === 3 ? OUTCOMES : TWO_CLASSES;
  const truth = classes === 3 ? outcome : outcome.map((code) => Math.min(code, 1));
  // How strange class k would be for row i: 1 - its probability.
  const strange = (i: number, k: number) =>
    classes === 2 && k === 1 ? probabilities[3 * i]! : 1 - probabilities[3 * i + k]!;
  const own = Float64Array.from(truth, (k, i) => strange(i, k));
  const thresholds = thresholdsByGroup(own, truth, { group, level, classes: names.length });
  const sets = new Uint8Array(n), held = new Float64Array(n), one = new Float64Array(n);
  const sizes = names.map(() => new Array<number>(names.length + 1).fill(0));
  const bySite = new Map<number, { readonly signals: number; readonly yes: number }>();
  const fewest = names.map(() => Infinity);
  for (const limits of thresholds.values()) {
    limits.forEach((limit, k) => {
      if ("absent" in limit) fewest[k] = Math.min(fewest[k]!, limit.n.cases!);
    });
  }
  for (let i = 0; i < n; i++) {
    const limits = thresholds.get(group[i]!)!;
    let size = 0;
    names.forEach((_, k) => {
      const limit = limits[k]!;
      if ("absent" in limit || strange(i, k) <= limit.value + 1e-12) {
        sets[i]! |= 1 << k;
        size++;
      }
    });
    held[i] = sets[i]! >> truth[i]! & 1;
    one[i] = size === 1 ? 1 : 0;
    sizes[truth[i]!]![size]! += 1;
    const here = bySite.get(site[i]!) ?? { signals: 0, yes: 0 };
    bySite.set(site[i]!, { signals: here.signals + 1, yes: here.yes + held[i]! });
  }
  const each = new Float64Array(n).fill(1);
  const share = { kind: "share", groups } as const;
  return {
    level,
    classes: names,
    sets,
    sizes,
    single: ratioBySite(one, each, group, share),
    covered: ratioBySite(held, each, group, share),
    coveredByClass: names.map((_, k) => {
      const met = Float64Array.from(truth, (code) => code === k ? 1 : 0);
      return ratioBySite(held.map((value, i) => value * met[i]!), met, group, {
        ...share,
        nothing: "none met",
      });
    }),
    coveredBySite: [...bySite].sort(([a], [b]) => a - b).map(([at, { signals, yes }]) => ({
      site: at,
      covered: shareEstimate(yes, signals, { unit: "signals" }),
    })),
    always: names.flatMap((name, k) => fewest[k]! < Infinity ? [{ name, cases: fewest[k]! }] : []),
  };
}

/**
 * For each group, one threshold a class from the cases of all other groups; absent where they are too few. Each class is sorted once, and a
 * group's own cases are stepped over: `conformalThreshold` of the others, in less time.
 */
function thresholdsByGroup(
  own: Float64Array,
  truth: Uint8Array,
  options: { readonly group: Int32Array; readonly level: number; readonly classes: number },
): Map<number, readonly Measure[]> {
  const { group, level, classes } = options;
  const judged = [...new Set(group)];
  const perClass = Array.from({ length: classes }, (_, k) => {
    const rows = [...own.keys()].filter((i) => truth[i] === k).sort((i, j) => own[i]! - own[j]!);
    const placesOf = new Map<number, number[]>();
    rows.forEach((row, place) => {
      const places = placesOf.get(group[row]!);
      if (places) places.push(place);
      else placesOf.set(group[row]!, [place]);
    });
    return new Map(judged.map((id): [number, Measure] => {
      const skipped = placesOf.get(id) ?? [], cases = rows.length - skipped.length;
      // The rank of `conformalThreshold`.
      const rank = Math.ceil((cases + 1) * (1 - (1 - level)) - 1e-9);
      if (cases < LEAST_CALIBRATION_CASES || rank > cases) {
        const needed = `A level of ${level} needs more cases of a class at other groups`;
        return [
          id,
          absent("too few", `${needed}, ${LEAST_CALIBRATION_CASES} at least, got ${cases}`, { cases }),
        ];
      }
      let place = Math.max(0, rank - 1);
      for (const at of skipped) {
        if (at > place) break;
        place++;
      }
      return [id, measured(own[rows[place]!]!, { cases })];
    }));
  });
  return new Map(judged.map((id) => [id, perClass.map((limits) => limits.get(id)!)]));
}
