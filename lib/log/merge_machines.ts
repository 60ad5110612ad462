import { FileFault } from "./file_fault.ts";
import type { Machine, MachinesFile, SettingsSet } from "./machines.ts";

/** A machines file and the log that it came with. */
export interface MachinesToMerge {
  /** The log's name. */
  readonly name: string;
  readonly machines: MachinesFile;
}

const text = (value: unknown): string =>
  JSON.stringify(
    value,
    (_, each) =>
      typeof each === "object" && each !== null && !Array.isArray(each)
        ? Object.fromEntries(Object.entries(each).sort(([a], [b]) => a < b ? -1 : 1))
        : each,
  );

/**
 * Merges the machines files of several logs into one: every machine and settings set once, in the order in which they are
 * met.
 *
 * Throws FileFault where two files say different things of one name; RangeError where there is none.
 *
 * @example
 * ```ts
 * import { mergeMachines, parseMachines } from "overiron";
 * const machines = parseMachines(JSON.stringify({
 *   schema: "overiron-machines/1",
 *   machines: [{
 *     machine: "Machine A",
 *     scale: { low: 0, high: 600, step: 1 },
 *     iron_break: 150,
 *     tones: { name: "one", kind: "bands", breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] },
 *   }],
 * }));
 * const merged = mergeMachines([{ name: "2024", machines }, { name: "2025", machines }]);
 * if (merged.machines.length !== 1) throw new Error("wrong");
 * ```
 */
export function mergeMachines(files: readonly MachinesToMerge[]): MachinesFile {
  if (files.length === 0) throw new RangeError("Cannot merge machines: need a machines file, got none");
  const merge = <Entry>(
    what: string,
    listOf: (file: MachinesFile) => readonly Entry[],
    nameOf: (entry: Entry) => string,
  ): Entry[] => {
    const met = new Map<string, { entry: Entry; from: string }>();
    for (const { name, machines } of files) {
      for (const entry of listOf(machines)) {
        const own = nameOf(entry), key = own.toLowerCase();
        const before = met.get(key);
        if (before === undefined) met.set(key, { entry, from: name });
        else if (text(before.entry) !== text(entry)) {
          throw new FileFault(
            `Cannot merge machines: a ${what} must be the same in every log, got two of the name ${
              JSON.stringify(own)
            }, of ${before.from} and of ${name}; give one another name, in its log too`,
            { file: name },
          );
        }
      }
    }
    return [...met.values()].map(({ entry }) => entry);
  };
  return {
    schema: "overiron-machines/1",
    machines: merge<Machine>("machine", ({ machines }) => machines, ({ machine }) => machine),
    settings: merge<SettingsSet>("settings set", ({ settings }) => settings, ({ settings }) => settings),
  };
}
