import { readReadings } from "../log/read_readings.ts";
import type { Machine } from "../log/machines.ts";
import type { Passes } from "../log/rows.ts";

/** What a key of the pad writes: a digit, a point, or one of these words. */
export type PadKey =
  | "0"
  | "1"
  | "2"
  | "3"
  | "4"
  | "5"
  | "6"
  | "7"
  | "8"
  | "9"
  | "."
  | "minus"
  | "next"
  | "none"
  | "to"
  | "erase";

const END_OF_NUMBER = /\d$/;
const LONE = ".";

/**
 * Gives what a readings cell holds after a key was pressed.
 *
 * Passes stand with a space between; a lone point is a pass that gave no number; `to` joins lowest, usual and highest. A key that would
 * make something nobody can read leaves the cell as it was. `erase` takes the last sign away.
 *
 * @example
 * ```ts
 * import { pressKey } from "./phone_keypad.ts";
 * const keys = ["4", "1", "2", "next", "none", "next", "4", "0"] as const;
 * if (keys.reduce((cell, key) => pressKey(cell, key), "") !== "412 . 40") throw new Error("wrong");
 * ```
 */
export function pressKey(cell: string, key: PadKey): string {
  const last = cell.split(/[ ]/).at(-1)!;
  const summary = /\d-/.test(last);
  switch (key) {
    case "erase":
      return cell.slice(0, -1);
    case "next":
      return END_OF_NUMBER.test(cell) || last === LONE ? summary ? cell : `${cell} ` : cell;
    case "none":
      if (summary || last === "-") return cell;
      return last === "" ? `${cell}${LONE}` : `${cell.replace(/(?<=\d)\.$/, "")} ${LONE}`;
    case "to":
      return END_OF_NUMBER.test(cell) && !cell.includes(" ") && (cell.match(/\d-/g) ?? []).length < 2
        ? `${cell}-`
        : cell;
    case "minus":
      return last === "" || last.endsWith("-") && /\d-$/.test(last)
        ? `${cell}-`
        : last === LONE
        ? `${cell} -`
        : cell;
    case ".":
      return END_OF_NUMBER.test(cell) && !/\.\d*$/.test(last) ? `${cell}.` : cell;
    default:
      return last === LONE ? `${cell} ${key}` : cell.length < 200 ? cell + key : cell;
  }
}

/**
 * Gives a readings cell without what was begun and not finished: a space, a joining hyphen, a point or a sign at its end.
 *
 * @example
 * ```ts
 * import { tidyReadings } from "./phone_keypad.ts";
 * if (tidyReadings("22-38-") !== "22-38" || tidyReadings("412 .") !== "412 .") throw new Error("wrong");
 * ```
 */
export const tidyReadings = (cell: string): string => cell.replace(/(?:(?<=\d)[-.]|(?<=^|[ -])-| )+$/, "");

/**
 * Tells what a cell of the pad comes to: passes, nothing, or the rule that it breaks, as the kit's own reader says it.
 *
 * @example
 * ```ts
 * import { padPasses } from "./phone_keypad.ts";
 * const { passes } = padPasses("412 . ", { low: 0, high: 600, step: 1 });
 * if (passes?.readings[0] !== 412 || passes.silent !== 1) throw new Error("wrong");
 * ```
 */
export function padPasses(
  cell: string | undefined,
  scale: Machine["scale"],
): { readonly passes: Passes | null; readonly fault: string | null } {
  const text = tidyReadings(cell ?? "");
  if (text === "") return { passes: null, fault: null };
  const read = readReadings(text, { scale });
  return "fault" in read ? { passes: null, fault: read.fault } : { passes: read.passes, fault: null };
}
