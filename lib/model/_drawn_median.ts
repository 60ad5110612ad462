/**
 * Gives a function that tells the median of some of the values, named by their places, repeats counted: what `median` gives of them, in
 * time that grows with their number alone, since the values are put in order once.
 */
export function drawnMedian(values: Float64Array): (picked: Int32Array) => number {
  const order = [...values.keys()].sort((a, b) => values[a]! - values[b]!);
  const rank = new Int32Array(values.length), times = new Int32Array(values.length);
  order.forEach((place, at) => rank[place] = at);
  return (picked) => {
    const n = picked.length;
    if (n === 0) return NaN;
    times.fill(0);
    for (let i = 0; i < n; i++) times[rank[picked[i]!]!]!++;
    const middle = (n - 1) >> 1;
    let at = 0, passed = times[0]!;
    while (passed <= middle) passed += times[++at]!;
    const low = values[order[at]!]!;
    if (n % 2 === 1 || passed > middle + 1) return low;
    while (times[++at] === 0);
    return (low + values[order[at]!]!) / 2;
  };
}
