import { FIND_PARTS, FIND_PLACE, type SignalTable } from "./fast_signal_table.ts";
import type { SharedHole } from "./fast_holes.ts";
import type { Machine } from "./machines.ts";
import { noiseOfMachine, RepeatPool } from "./measure_repeat_noise.ts";
import type { RepeatNoise } from "./report.ts";
import type { Outing } from "./rows.ts";

export interface NoiseOfSignalsOptions {
  readonly machines: readonly Machine[];
  readonly outings: readonly Outing[];
  /** By data row: the hole that it shares with others. */
  readonly holeOf: ReadonlyMap<number, SharedHole>;
}

/** Gives the repeat noise of each machine from the columns of a log: what `measureRepeatNoise` gives of its rows. */
export function noiseOfSignals(found: SignalTable, options: NoiseOfSignalsOptions): RepeatNoise[] {
  const { rows, count, words, codes, cells, passes, of, machinesOf, finds, findStarts, findCounts } = found;
  const { machines, outings, holeOf } = options;
  const ironCodes = codes.iron_near, ironNone = words.iron_near.codeOfValue("none");
  return machines.map((machine) =>
    noiseOfMachine(machine, (basis) => {
      const pool = new RepeatPool();
      const add = (cell: number): void => {
        if (cell !== 0 && passes.kinds[cell] === 0) {
          pool.add(passes.readings, passes.starts[cell]!, passes.starts[cell + 1]!);
        }
      };
      const seen = new Set<SharedHole>();
      const mine = machinesOf.map((each) => each.machine.machine === machine.machine);
      for (let i = 0; i < count; i++) {
        const row = rows[i]!;
        if (!mine[of[row]!]) continue;
        if (basis > 0) {
          if (basis === 1 && (ironCodes?.[row] ?? 0) !== ironNone) continue;
          add(cells.right?.[row] ?? 0);
          add(cells.left?.[row] ?? 0);
          continue;
        }
        const hole = holeOf.size === 0 ? undefined : holeOf.get(row);
        if (hole !== undefined) {
          if (!seen.has(hole)) { for (const find of hole.finds) pool.addPasses(find.readings_alone); }
          seen.add(hole);
          continue;
        }
        const start = findStarts[row]!;
        for (let k = start; k < start + findCounts[row]!; k++) {
          add(finds[k * FIND_PARTS.length + FIND_PLACE.readings_alone]!);
        }
      }
      for (const outing of basis === 0 ? outings : []) {
        if (outing.machine !== machine.machine) continue;
        pool.addPasses(outing.check_start);
        pool.addPasses(outing.check_end);
      }
      return pool;
    })
  );
}
