import type { ToneScheme } from "../log/mod.ts";
import stored from "../../shared/tone-schemes.json" with { type: "json" };
import { checkToneScheme } from "./check_tone_scheme.ts";

/** A tone scheme with the scale and the iron break it was invented for. */
export interface ExampleToneScheme {
  readonly scale: { readonly low: number; readonly high: number; readonly step: number };
  readonly ironBreak: number;
  readonly scheme: ToneScheme;
}

/**
 * Gives the invented tone schemes that the project ships with: one, two, four and seven bands and a sliding pitch, on a
 * scale of 0 to 600 and on one of -200 to 200 in fives.
 *
 * They belong to no machine. Pitches are notes of equal temperament with A4 = 440 Hz (ISO 16:1975).
 *
 * @example
 * ```ts
 * import { exampleToneSchemes } from "overiron";
 * if (exampleToneSchemes().length !== 10) throw new Error("five schemes on two scales");
 * ```
 */
export function exampleToneSchemes(): ExampleToneScheme[] {
  return stored.scales.flatMap(({ scale, iron_break: ironBreak, schemes }) =>
    schemes.map((scheme) => ({
      scale,
      ironBreak,
      scheme: checkToneScheme(scheme as ToneScheme, { scale, ironBreak }),
    }))
  );
}
