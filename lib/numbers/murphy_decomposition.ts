import { type Absent, absent } from "./estimate.ts";
import { checkProbability, checkSameLength } from "./_check_values.ts";

/** One line of a reliability table: what was forecast, how often it then came, and how much weight the line has. */
export interface ReliabilityLine {
  readonly forecast: number;
  readonly frequency: number;
  readonly weight: number;
}

/** The parts of a half Brier score: brier = reliability - resolution + uncertainty. */
export interface MurphyParts {
  readonly reliability: number;
  readonly resolution: number;
  readonly uncertainty: number;
  readonly brier: number;
  /** How often it came overall. */
  readonly baseRate: number;
  /** 1 - brier / uncertainty: below 0 is worse than always forecasting the base rate. Absent where all outcomes are alike. */
  readonly skill: number | Absent;
}

/**
 * Splits the half Brier score of a reliability table into reliability, resolution and uncertainty.
 *
 * @param lines One line a distinct forecast; forecast and frequency 0 to 1, weights above 0 (shares or counts).
 * @returns The parts, all 0 to 1 but for the skill; absent without lines. The sum is exact because each line holds one forecast
 * value: forecasts binned together lose what varies within a bin.
 *
 * Source: Murphy (1973), Journal of Applied Meteorology 12:595-600.
 * Throws RangeError for numbers outside these ranges.
 *
 * @example
 * ```ts
 * import { murphyDecomposition } from "overiron";
 * const parts = murphyDecomposition([{ forecast: 0, frequency: 0, weight: 1 }, { forecast: 1, frequency: 1, weight: 1 }]);
 * if (!("brier" in parts) || parts.brier !== 0 || parts.resolution !== 0.25) throw new Error("wrong");
 * ```
 */
export function murphyDecomposition(lines: readonly ReliabilityLine[]): MurphyParts | Absent {
  let weights = 0, came = 0;
  for (const { forecast, frequency, weight } of lines) {
    checkProbability("split a Brier score", "forecast", forecast);
    checkProbability("split a Brier score", "frequency", frequency);
    if (!(weight > 0 && Number.isFinite(weight))) {
      throw new RangeError(`Cannot split a Brier score: weight must be above 0, got ${weight}`);
    }
    weights += weight;
    came += weight * frequency;
  }
  if (lines.length === 0) return absent("no cases", "The table has no line", { lines: 0 });
  const baseRate = came / weights;
  let reliability = 0, resolution = 0, brier = 0;
  for (const { forecast, frequency, weight } of lines) {
    reliability += weight / weights * (forecast - frequency) ** 2;
    resolution += weight / weights * (frequency - baseRate) ** 2;
    brier += weight / weights * (frequency * (1 - forecast) ** 2 + (1 - frequency) * forecast ** 2);
  }
  const uncertainty = baseRate * (1 - baseRate);
  const skill = uncertainty > 0
    ? 1 - brier / uncertainty
    : absent("undefined", "All outcomes are alike", { lines: lines.length });
  return { reliability, resolution, uncertainty, brier, baseRate, skill };
}

/**
 * Makes the reliability table of forecasts: one line a distinct forecast value, in rising order.
 *
 * @param forecast Probabilities, 0 to 1, one a case.
 * @param outcome 1 where it came and 0 where not, one a case.
 * @returns Lines whose weights count the cases.
 *
 * Throws RangeError for columns of different length or values outside these ranges.
 *
 * @example
 * ```ts
 * import { reliabilityTable } from "overiron";
 * const [line] = reliabilityTable([0.3, 0.3], [0, 1]);
 * if (line!.frequency !== 0.5 || line!.weight !== 2) throw new Error("wrong");
 * ```
 */
export function reliabilityTable(forecast: ArrayLike<number>, outcome: ArrayLike<number>): ReliabilityLine[] {
  checkSameLength("make a reliability table", ["forecast", "outcome"], [forecast.length, outcome.length]);
  const lines = new Map<number, { came: number; weight: number }>();
  for (let i = 0; i < forecast.length; i++) {
    checkProbability("make a reliability table", "forecast", forecast[i]!);
    if (outcome[i] !== 0 && outcome[i] !== 1) {
      throw new RangeError(`Cannot make a reliability table: outcome must be 0 or 1, got ${outcome[i]}`);
    }
    const line = lines.get(forecast[i]!) ?? { came: 0, weight: 0 };
    lines.set(forecast[i]!, { came: line.came + outcome[i]!, weight: line.weight + 1 });
  }
  return [...lines].sort(([a], [b]) => a - b)
    .map(([value, { came, weight }]) => ({ forecast: value, frequency: came / weight, weight }));
}
