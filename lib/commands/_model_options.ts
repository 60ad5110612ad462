import { type CommandLine, CommandLineFault } from "./_command_line.ts";

/** Reads `--level`: undefined where it is not given. */
export function levelOf({ values }: CommandLine): number | undefined {
  const text = values.level;
  if (text === undefined) return undefined;
  const level = /^\d*\.?\d+$/.test(text) ? Number(text) : NaN;
  if (!(level > 0 && level < 1)) {
    throw new CommandLineFault(`Cannot use --level: it must be a number above 0 and below 1, got "${text}"`);
  }
  return level;
}

/** Most worths at which a rule is shown beside one another. */
const MOST_WORTHS = 3;

/** Reads `--worth` (one) or `--worths` (several), in holes, the smallest first; undefined where neither is given. */
export function worthsOf({ values }: CommandLine): readonly number[] | undefined {
  const { worth, worths } = values;
  if (worth !== undefined && worths !== undefined) {
    throw new CommandLineFault(
      `Cannot use --worth and --worths together: name your own worth or several to compare, got "${worth}" and "${worths}"`,
    );
  }
  const whole = (text: string): number => /^\d{1,9}$/.test(text) && Number(text) > 1 ? Number(text) : NaN;
  if (worth !== undefined) {
    if (Number.isNaN(whole(worth))) {
      throw new CommandLineFault(
        `Cannot use --worth: it must be a whole number of holes, 2 or more, got "${worth}"`,
      );
    }
    return [whole(worth)];
  }
  if (worths === undefined) return undefined;
  const several = worths.split(",").map(whole);
  if (
    several.some(Number.isNaN) || new Set(several).size < several.length || several.length > MOST_WORTHS
  ) {
    throw new CommandLineFault(
      `Cannot use --worths: it must be up to ${MOST_WORTHS} different whole numbers of holes, 2 or more, with commas between, got "${worths}"`,
    );
  }
  return several.sort((a, b) => a - b);
}
