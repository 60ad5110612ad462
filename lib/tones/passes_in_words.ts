import type { Machine, Passes, ToneScheme } from "../log/mod.ts";
import { bandedScheme } from "./_arms.ts";
import { passesInTurn } from "./_passes_in_turn.ts";
import { bandOf } from "./band_of.ts";

/** Options of `passesInWords`. */
export interface PassesInWordsOptions {
  /** Scheme to hear with. Default: the machine's own. */
  readonly scheme?: ToneScheme;
  /** Passes told at most, as in `soundOfPasses`. Default all. */
  readonly mostPasses?: number;
}

/**
 * Tells what `soundOfPasses` sounds, in words: the band of each pass in order, with its side. For those who do not hear it.
 *
 * Throws RangeError where there is no pass to tell.
 *
 * @example
 * ```ts
 * import { exampleToneSchemes, passesInWords } from "overiron";
 * const { scale, ironBreak, scheme } = exampleToneSchemes()[1]!;
 * const machine = { machine: "Machine A", scale, iron_break: ironBreak, tones: scheme };
 * const right = { written: "300 x", kind: "passes" as const, readings: [300], silent: 1, passes: 2, approximate: false };
 * if (passesInWords({ right, left: null }, machine) !== `right ${scheme.bands[1]!.name}, right silent`) throw new Error("wrong");
 * ```
 */
export function passesInWords(
  record: { readonly right: Passes | null; readonly left: Passes | null },
  machine: Machine,
  options: PassesInWordsOptions = {},
): string {
  const { scheme = machine.tones, mostPasses } = options;
  const banded = bandedScheme(scheme, machine.iron_break);
  const passes = passesInTurn(record).slice(0, mostPasses);
  if (passes.length === 0) throw new RangeError("Cannot tell passes: need a pass, got none");
  return passes.map(({ reading, direction }) => {
    const heard = reading === null ? "silent" : banded.bands[bandOf(reading, banded)]!.name;
    return `${direction === 1 ? "right" : "left"} ${heard}`;
  }).join(", ");
}
