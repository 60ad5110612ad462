import { z } from "zod";
import { quantile } from "../numbers/mod.ts";
import { MISSING } from "./feature_table.ts";
import type { FeatureTable } from "./feature_table.ts";

/** One column of a design: a feature centred and scaled, or a switch that tells why the feature is missing. */
export const designColumnSchema = z.strictObject({
  feature: z.string(),
  /** 0: the number itself, its mean where missing; 1 or 2: a switch, 1 where the cell is missing for that reason. */
  reason: z.union([z.literal(0), z.literal(1), z.literal(2)]),
  centre: z.number(),
  scale: z.number().positive(),
  /** Numbers beyond these limits count as the limit; a switch has 0 and 1. */
  low: z.number(),
  high: z.number(),
});
export type DesignColumn = z.infer<typeof designColumnSchema>;

const clamp = (value: number, low: number, high: number): number => Math.min(high, Math.max(low, value));

export function nameOfColumn(column: DesignColumn): string {
  if (column.reason === 0) return column.feature;
  return `${column.feature} ${column.reason === MISSING.silent ? "silent" : "from too few passes"}`;
}

/**
 * Learns how features become the columns of a linear model, from the rows learnt from alone.
 *
 * A feature's number is drawn in to the inner nine tenths of the rows learnt from (quantiles of type 7; to their ends where
 * those tenths are one value), so that one wild pass cannot outshout the rest, then centred on its weighted mean and divided by
 * its weighted standard deviation (n in the denominator); a missing cell gets the mean. Silence and too few passes get a switch each, centred, not scaled; "not logged" gets none,
 * since it tells of the person and not of the ground. A column that does not vary is dropped, as is a switch equal to an
 * earlier one.
 */
export function learnDesign(x: FeatureTable, weights: Float64Array): DesignColumn[] {
  const numbers: DesignColumn[] = [], switches: DesignColumn[] = [];
  const seen = new Set<string>();
  x.names.forEach((feature, j) => {
    const column = x.columns[j]!, why = x.whyMissing[j]!;
    const known = column.filter((_, i) => why[i] === 0 && weights[i]! > 0).sort();
    if (known.length > 0) {
      let low = quantile(known, 0.05), high = quantile(known, 0.95);
      if (!(high > low)) [low, high] = [known[0]!, known[known.length - 1]!];
      let total = 0, sum = 0, squares = 0;
      for (let i = 0; i < x.n; i++) {
        if (why[i] !== 0) continue;
        total += weights[i]!;
        sum += weights[i]! * clamp(column[i]!, low, high);
      }
      const centre = sum / total;
      for (let i = 0; i < x.n; i++) {
        if (why[i] === 0) squares += weights[i]! * (clamp(column[i]!, low, high) - centre) ** 2;
      }
      const scale = Math.sqrt(squares / total);
      if (scale > 1e-9 * Math.max(1, Math.abs(centre))) {
        numbers.push({ feature, reason: 0, centre, scale, low, high });
      }
    }
    for (const reason of [MISSING.silent, MISSING.tooFewPasses]) {
      let all = 0, missing = 0;
      for (let i = 0; i < x.n; i++) {
        all += weights[i]!;
        if (why[i] === reason) missing += weights[i]!;
      }
      if (missing <= 0 || missing >= all) continue;
      const key = why.map((each) => each === reason ? 1 : 0).join("");
      if (seen.has(key)) continue;
      seen.add(key);
      switches.push({ feature, reason, centre: missing / all, scale: 1, low: 0, high: 1 });
    }
  });
  return [...numbers, ...switches];
}

/** Fills the design of a table: n x columns by row. Throws RangeError where the table lacks a feature. */
export function fillDesign(design: readonly DesignColumn[], x: FeatureTable, engine: string): Float64Array {
  const p = design.length;
  const out = new Float64Array(x.n * p);
  design.forEach(({ feature, reason, centre, scale, low, high }, j) => {
    const place = x.names.indexOf(feature);
    if (place < 0) {
      throw new RangeError(
        `Cannot use ${engine}: the table needs the feature "${feature}", got ${x.names.join(", ")}`,
      );
    }
    const column = x.columns[place]!, why = x.whyMissing[place]!;
    for (let i = 0; i < x.n; i++) {
      if (reason === 0) out[i * p + j] = why[i] === 0 ? (clamp(column[i]!, low, high) - centre) / scale : 0;
      else out[i * p + j] = (why[i] === reason ? 1 : 0) - centre;
    }
  });
  return out;
}
