import type { RowInHand } from "./apply_schema.ts";
import type { RowRemarks } from "./fast_remarks.ts";
import { AT_FAULT, type WordTable } from "./fast_words.ts";
import type { MachineOfRow } from "./_machine_of_row.ts";

export interface RowMachinesOptions {
  /** The words of settings, machine and discrimination, and their codes by row. */
  readonly words: readonly [WordTable, WordTable, WordTable];
  readonly codes: readonly [Int32Array, Int32Array, Int32Array];
  readonly has: (name: string) => boolean;
  readonly machineOf: (
    row: RowInHand,
    settings: string | null,
    machine: string | null,
  ) => MachineOfRow | null;
  readonly remarks: RowRemarks;
}

/** Which machine each row has: it depends on three words only, and is asked for once for each three. */
export class RowMachines {
  /** By number, as `find` gives it. */
  readonly list: MachineOfRow[] = [];
  /** By number: what is remarked on each row of it. */
  readonly notes: number[][] = [];
  readonly #options: RowMachinesOptions;
  readonly #known = new Map<number, number>();
  #lastKey = -1;
  #last = AT_FAULT;

  constructor(options: RowMachinesOptions) {
    this.#options = options;
  }

  /** The number of a row's machine, or `AT_FAULT`. */
  find(row: number): number {
    const { codes } = this.#options;
    const key = (codes[0][row]! * 0x100000 + codes[1][row]!) * 64 + codes[2][row]!;
    if (key === this.#lastKey) return this.#last;
    let at = this.#known.get(key);
    if (at === undefined) {
      at = this.#ask(row);
      this.#known.set(key, at);
    }
    this.#lastKey = key;
    this.#last = at;
    return at;
  }

  #ask(row: number): number {
    const { words, codes, has, machineOf, remarks } = this.#options;
    const at = (i: 0 | 1 | 2) => words[i].values[codes[i][row]!] as string | null;
    const named: Readonly<Record<string, string | null>> = {
      settings: at(0),
      machine: at(1),
      discrimination: at(2),
    };
    const notes: number[] = [];
    let faulty = false;
    const value = (name: string): string | null => Object.hasOwn(named, name) ? named[name]! : null;
    const found = machineOf(
      {
        record: row + 1,
        line: 0,
        has,
        text: value,
        value,
        number: () => null,
        fault: () => void (faulty = true),
        assume: (name, note) => void notes.push(remarks.number("assume", name, note)),
        flag: (name, note) => void notes.push(remarks.number("flag", name, note)),
      },
      named["settings"]!,
      named["machine"]!,
    );
    if (found === null || faulty) return AT_FAULT;
    this.notes.push(notes);
    return this.list.push(found) - 1;
  }

  /** The number of a machine that was found elsewhere. */
  numberOf(wanted: MachineOfRow): number {
    const at = this.list.findIndex((each) =>
      each.machine === wanted.machine && each.settings === wanted.settings &&
      each.discrimination === wanted.discrimination
    );
    if (at >= 0) return at;
    this.notes.push([]);
    return this.list.push(wanted) - 1;
  }
}
