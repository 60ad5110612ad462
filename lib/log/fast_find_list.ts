import { longer } from "./fast_longer.ts";
import { FIND_PARTS } from "./fast_signal_table.ts";

const PARTS = FIND_PARTS.length;

/** The finds of a log, the codes of their parts end to end. */
export class FindList {
  codes: Int32Array<ArrayBuffer>;
  count = 0;

  /** `rows` is how many finds to expect. */
  constructor(rows: number) {
    this.codes = new Int32Array(PARTS * Math.max(64, rows));
  }

  /** Makes room for more finds. */
  reserve(more: number): void {
    const needed = (this.count + more) * PARTS;
    if (needed > this.codes.length) this.codes = longer(this.codes, needed);
  }
}
