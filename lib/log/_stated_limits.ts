import { FileFault } from "./file_fault.ts";
import type { ColumnMapping } from "./mapping.ts";
import { nearestWord } from "./nearest_word.ts";
import type { RepeatNoise } from "./report.ts";

/** The repeat noise with the limits that a mapping states in place of measured ones. Throws FileFault for an unknown machine. */
export function statedLimits(
  noise: readonly RepeatNoise[],
  columns: ColumnMapping | undefined,
): readonly RepeatNoise[] {
  const stated = new Map(Object.entries(columns?.rule.repeat_limits ?? {}));
  if (stated.size === 0) return noise;
  const names = noise.map((each) => each.machine);
  for (const name of stated.keys()) {
    if (names.includes(name)) continue;
    const near = nearestWord(name, names);
    throw new FileFault(
      `Cannot use the mapping: rule.repeat_limits must name machines of the machines file, got ${
        JSON.stringify(name)
      }${near === null ? "" : `; nearest is ${JSON.stringify(near)}`}`,
      { file: "mapping" },
    );
  }
  return noise.map((each) => {
    const limit = stated.get(each.machine);
    return limit === undefined ? each : { ...each, limit, basis: "a limit stated in the mapping of the log" };
  });
}
