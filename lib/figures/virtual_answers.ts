import { absent, type Estimate, present, quantile, shareEstimate } from "../numbers/mod.ts";
import {
  closedFormOfTrial,
  type HalfGapScatter,
  type PairTruth,
  type PracticeShares,
  VIRTUAL_LIMITS,
} from "../virtual/mod.ts";
import { say, show, type Shown, stated, table } from "./show.ts";

/** A pair as laid, named, with what the simulation says of it. */
export interface VirtualPair {
  readonly target: string;
  readonly neighbour: string;
  readonly depthCm: number;
  readonly truth: PairTruth;
  readonly touching: number | null;
  /** The closed form at the half gap; null where there is none. */
  readonly atHalfGap: ReturnType<typeof closedFormOfTrial> | null;
}

const exact = { level: 1, method: "computed without noise, not estimated" } as const;
const known = (value: number): Estimate =>
  present(value, { low: value, high: value, ...exact }, { pairs: 1 });

const halfGapOf = ({ halfGap }: PairTruth): Estimate =>
  typeof halfGap === "number" ? known(halfGap) : absent(
    halfGap,
    halfGap === "never"
      ? "The drag is below one half at every gap, also when touching"
      : "No gap can be told",
    { pairs: 1 },
  );

/**
 * Shows the limits of what is simulated, in a sentence; to be shown wherever a simulated number is.
 *
 * @example
 * ```ts
 * import { virtualLimits } from "overiron";
 * if (!virtualLimits().text.includes("no ground")) throw new Error("wrong");
 * ```
 */
export const virtualLimits = (): Shown => say`**Simulated.** ${VIRTUAL_LIMITS}`;

/**
 * Shows half gap, drag at contact and loudness at the half gap of simulated pairs, a row a pair.
 *
 * Throws RangeError when there is no pair.
 *
 * @example
 * ```ts
 * import { pairTruth, trialScene, VIRTUAL_MACHINES, virtualPairTable } from "overiron";
 * const scene = trialScene({ target: "copper disc", neighbour: "small nail" });
 * const truth = pairTruth(scene, VIRTUAL_MACHINES[0]!);
 * const shown = virtualPairTable([{ target: "disc", neighbour: "nail", depthCm: 8, truth, touching: 0.1, atHalfGap: null }]);
 * if (!shown.text.includes("never")) throw new Error(shown.text);
 * ```
 */
export function virtualPairTable(pairs: readonly VirtualPair[]): Shown {
  if (pairs.length === 0) throw new RangeError("Cannot show pairs: need at least one, got 0");
  return table({
    caption: "Simulated pairs as laid: computed without noise, so without an interval.",
    columns: [
      "neighbour",
      "depth",
      "drag when touching",
      "half gap",
      "neighbour's loudness at the half gap (target 1)",
    ],
    rows: pairs.map(({ target, neighbour, depthCm, truth, touching, atHalfGap }) => {
      const of = { target, neighbour, depth_cm: String(depthCm) };
      const none = absent("none", "There is no half gap", { pairs: 1 });
      const value = { form: "value", decimals: 2 } as const;
      return [
        neighbour,
        `${depthCm} cm`,
        stated(
          "virtual.dragTouching",
          of,
          touching === null ? absent("none", "Too alike or silent", { pairs: 1 }) : known(touching),
          value,
        ),
        stated("virtual.halfGapCm", of, halfGapOf(truth), { form: "value", decimals: 1 }),
        stated(
          "virtual.loudnessAtHalfGap",
          of,
          atHalfGap === null ? none : known(atHalfGap.loudnessRatio),
          value,
        ),
      ];
    }),
  });
}

/** A scatter, named by what varied and under which windings. */
export interface NamedScatter {
  readonly varied: string;
  readonly windings: string;
  readonly scatter: HalfGapScatter;
}

/**
 * Shows how widely half gaps scatter: the median, the middle nine tenths, and the share that never has one. Throws RangeError when there is none.
 *
 * @example
 * ```ts
 * import { halfGapScatter, virtualScatterTable } from "overiron";
 * const shown = virtualScatterTable([{ varied: "tilt", windings: "concentric", scatter: halfGapScatter({ nails: 3 }) }]);
 * if (shown.recorded.results.length !== 2) throw new Error("wrong");
 * ```
 */
export function virtualScatterTable(scatters: readonly NamedScatter[]): Shown {
  if (scatters.length === 0) throw new RangeError("Cannot show scatters: need at least one, got 0");
  return table({
    caption:
      "Simulated half gaps of one kind of nail: the median, and in brackets the middle nine tenths of the nails that have one.",
    columns: ["what varied", "windings", "half gap", "never half-way"],
    rows: scatters.map(({ varied, windings, scatter: { halfGapsCm, never, nails } }) => {
      const of = { varied, windings };
      const middle: Estimate = halfGapsCm.length === 0
        ? absent("never", "No simulated nail drags the target half-way", { nails })
        : present(
          quantile(halfGapsCm, 0.5),
          {
            low: quantile(halfGapsCm, 0.05),
            high: quantile(halfGapsCm, 0.95),
            level: 0.9,
            method: "middle nine tenths of the simulated nails",
          },
          { nails: halfGapsCm.length },
        );
      return [
        varied,
        windings,
        stated("virtual.halfGapScatterCm", of, middle, { form: "interval", decimals: 1 }),
        stated("virtual.neverHalfWay", of, shareEstimate(never, nails, { unit: "nails" }), {
          form: "full",
          decimals: 0,
        }),
      ];
    }),
  });
}

/**
 * Says which share of plausible cases meets each thing people say, and all three at once.
 *
 * @example
 * ```ts
 * import { practiceShares, virtualPracticeShares } from "overiron";
 * if (virtualPracticeShares(practiceShares({ cases: 5 })).recorded.results.length !== 4) throw new Error("wrong");
 * ```
 */
export function virtualPracticeShares(shares: PracticeShares): Shown {
  const share = (check: string, estimate: Estimate) =>
    stated("virtual.practiceShare", { check }, estimate, { decimals: 0 });
  return show(
    say`Of plausible sizes, depths and frequencies drawn by chance, **a neighbour on each side, three and a half centimetres off, drags by a half to four fifths** in ${
      share("one each side", shares.oneEachSide)
    }; **a weaker neighbour touching drags by a tenth to a quarter** in ${
      share("weaker, touching", shares.weakerTouching)
    }; **a stronger one touching drags by about six tenths (five to seven)** in ${
      share("stronger, touching", shares.strongerTouching)
    }. All three at once: ${share("all three", shares.all)}.`,
    say`Each of the three is one informal observation from the trade, without a source, held to a wide band. Sizes can be found that meet them: a check met by searching for it proves little.`,
  );
}
