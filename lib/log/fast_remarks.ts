import type { SchemaSteps } from "./apply_schema.ts";

interface Kind {
  readonly kind: "assume" | "flag";
  readonly name: string | null;
  readonly text: string;
  /** Where it is counted, from its first row on. */
  entry: { count: number } | null;
}

/** The remarks of one row, held by number until the row is accepted. */
export class RowRemarks {
  readonly #kinds: Kind[] = [];
  readonly #numbers = new Map<string, number>();
  readonly #remark: SchemaSteps<unknown>["remark"];
  readonly #held = new Int32Array(1024);
  #count = 0;

  constructor(remark: SchemaSteps<unknown>["remark"]) {
    this.#remark = remark;
  }

  /** The number of a remark, the same for the same words. */
  number(kind: "assume" | "flag", name: string | null, text: string): number {
    const key = `${kind}\n${name ?? ""}\n${text}`;
    let number = this.#numbers.get(key);
    if (number === undefined) {
      number = this.#kinds.length;
      this.#kinds.push({ kind, name, text, entry: null });
      this.#numbers.set(key, number);
    }
    return number;
  }

  add(number: number): void {
    this.#held[this.#count++] = number;
  }

  clear(): void {
    this.#count = 0;
  }

  /** Counts what is held: the row was accepted. */
  settle(row: number): void {
    for (let i = 0; i < this.#count; i++) {
      const kind = this.#kinds[this.#held[i]!]!;
      if (kind.entry === null) kind.entry = this.#remark(kind.kind, row, kind.name, kind.text);
      else kind.entry.count++;
    }
  }
}
