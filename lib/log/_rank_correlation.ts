/** Ranks from 1, ties sharing the mean of theirs. */
function ranks(values: readonly number[]): Float64Array {
  const order = values.map((_, i) => i).sort((a, b) => values[a]! - values[b]! || a - b);
  const out = new Float64Array(values.length);
  for (let from = 0; from < order.length;) {
    let to = from;
    while (to + 1 < order.length && values[order[to + 1]!] === values[order[from]!]) to++;
    for (let i = from; i <= to; i++) out[order[i]!] = (from + to) / 2 + 1;
    from = to + 1;
  }
  return out;
}

/**
 * Spearman's rank correlation with ties (the product-moment correlation of mid-ranks), and its standard normal deviate
 * under independence, rho times the root of n - 1 (Kendall and Gibbons, Rank Correlation Methods, 5th edition, 1990,
 * section 4; from memory). Null where either list has one value only.
 */
export function rankCorrelation(
  x: readonly number[],
  y: readonly number[],
): { readonly rho: number; readonly z: number } | null {
  const n = x.length;
  const a = ranks(x), b = ranks(y);
  const middle = (n + 1) / 2;
  let products = 0, ofX = 0, ofY = 0;
  for (let i = 0; i < n; i++) {
    products += (a[i]! - middle) * (b[i]! - middle);
    ofX += (a[i]! - middle) ** 2;
    ofY += (b[i]! - middle) ** 2;
  }
  if (ofX === 0 || ofY === 0) return null;
  const rho = products / Math.sqrt(ofX * ofY);
  return { rho, z: rho * Math.sqrt(n - 1) };
}
