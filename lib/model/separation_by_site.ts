import { absent, type Counts, type Estimate, present, studentQuantile } from "../numbers/mod.ts";

/** Options of {@link separationBySite}. */
export interface SeparationBySiteOptions {
  /** Level of the interval. Default 0.95. */
  readonly level?: number;
  /** What the groups are, for `n`. Default "sites". */
  readonly groups?: string;
  /** What the two kinds are called in `n`. Default "first kind" and "other kind". */
  readonly kinds?: readonly [string, string];
}

/**
 * Gives the chance that a case of one kind has the higher value than a case of the other kind, ties counting half: the area
 * under the ROC curve (Hanley and McNeil 1982, Radiology 143:29). 0.5 tells nothing, 1 or 0 tells all.
 *
 * `values` are numbers a row; rows that are NaN are left out. `kind` is 1 for the first kind, 0 for the other, anything else
 * leaves the row out. The interval takes rows of one site as alike: placement values (DeLong, DeLong and Clarke-Pearson 1988)
 * summed by site (Obuchowski 1997, Biometrics 53:567), times G / (G - 1), Student's t with G - 1 degrees of freedom on the
 * logit scale. Absent with its reason without a case of each kind, with one site, or where all values are the same. Where the kinds do not overlap at all
 * the far limit comes from the exact chance of that with one case fewer a kind: (1 - level)^(1 / smaller count).
 *
 * @example
 * ```ts
 * import { isPresent, separationBySite } from "overiron";
 * const apart = separationBySite([1, 3, 2, 4], [0, 1, 0, 1], Int32Array.of(0, 0, 1, 1));
 * if (!isPresent(apart) || apart.value !== 1) throw new Error(JSON.stringify(apart));
 * ```
 */
export function separationBySite(
  values: ArrayLike<number>,
  kind: ArrayLike<number>,
  site: ArrayLike<number>,
  options: SeparationBySiteOptions = {},
): Estimate {
  const { level = 0.95, groups = "sites", kinds = ["first kind", "other kind"] } = options;
  if (values.length !== kind.length || values.length !== site.length) {
    throw new RangeError(
      `Cannot give separation: need equal lengths, got ${values.length}, ${kind.length} and ${site.length}`,
    );
  }
  const rows: number[] = [];
  let first = 0, other = 0;
  for (let i = 0; i < values.length; i++) {
    if (Number.isNaN(values[i]!) || (kind[i] !== 0 && kind[i] !== 1)) continue;
    rows.push(i);
    if (kind[i] === 1) first++;
    else other++;
  }
  const sites = new Set(rows.map((row) => site[row]!));
  const n: Counts = { [kinds[0]]: first, [kinds[1]]: other, [groups]: sites.size };
  if (first === 0 || other === 0) {
    return absent("no cases", "One of the two kinds has no case with a value", n);
  }
  if (sites.size < 2) {
    return absent(
      `one ${groups.replace(/s$/, "")}`,
      `All cases lie within one of the ${groups}: how much ${groups} differ cannot be told`,
      n,
    );
  }
  if (rows.every((row) => values[row] === values[rows[0]!])) {
    return absent("constant", "All cases have the same value", n);
  }
  rows.sort((a, b) => values[a]! - values[b]! || a - b);
  const placement = new Map<number, number>();
  let firstBelow = 0, otherBelow = 0, sum = 0;
  for (let from = 0; from < rows.length;) {
    let to = from, firstHere = 0, otherHere = 0;
    while (to < rows.length && values[rows[to]!] === values[rows[from]!]) {
      if (kind[rows[to]!] === 1) firstHere++;
      else otherHere++;
      to++;
    }
    for (let at = from; at < to; at++) {
      const row = rows[at]!;
      placement.set(
        row,
        kind[row] === 1
          ? (otherBelow + otherHere / 2) / other
          : (first - firstBelow - firstHere + firstHere / 2) / first,
      );
    }
    sum += firstHere * (otherBelow + otherHere / 2);
    firstBelow += firstHere;
    otherBelow += otherHere;
    from = to;
  }
  const value = sum / (first * other);
  const bySite = new Map<number, number>();
  for (const row of rows) {
    const pull = (placement.get(row)! - value) / (kind[row] === 1 ? first : other);
    bySite.set(site[row]!, (bySite.get(site[row]!) ?? 0) + pull);
  }
  let squares = 0;
  for (const pull of bySite.values()) squares += pull * pull;
  const error = Math.sqrt(sites.size / (sites.size - 1) * squares);
  if (!(error > 1e-12) && value > 0 && value < 1) {
    return present(value, { low: 0, high: 1, level, method: "no difference between sites to go by" }, n);
  }
  if (value <= 0 || value >= 1) {
    const far = (1 - level) ** (1 / Math.max(1, Math.min(first, other)));
    const low = value >= 0.5 ? Math.min(value, far) : 0, high = value >= 0.5 ? 1 : Math.max(value, 1 - far);
    return present(value, { low, high, level, method: "no overlap, exact for the smaller kind" }, n);
  }
  const logit = Math.log(value / (1 - value));
  const half = studentQuantile((1 + level) / 2, sites.size - 1) * error / (value * (1 - value));
  const back = (at: number) => 1 / (1 + Math.exp(-at));
  const method = `by ${groups.replace(/s$/, "")}, t with ${sites.size - 1} df, logit scale`;
  return present(value, { low: back(logit - half), high: back(logit + half), level, method }, n);
}
