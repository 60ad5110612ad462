/** Up to so many numbers a plain insertion is quicker than the general sort, and than this. */
export const FEW = 24;

/**
 * Rearranges numbers so that the one at a place is what it would be were they sorted, with none above it before and none below it
 * after. Quicker than sorting where one or two places are asked for. Zeros of both signs stand as the engine's own sort has them.
 *
 * Source: Hoare (1961), Communications of the ACM 4:321-322, with the middle of three as pivot.
 */
export function placeNumber(values: Float64Array, place: number): Float64Array {
  let low = 0, high = values.length - 1;
  for (let rounds = 2 * Math.log2(values.length + 1) + 16; low < high; rounds--) {
    // Badly parted again and again: then it is sorted after all.
    if (rounds < 0) return values.sort();
    const a = values[low]!, b = values[(low + high) >> 1]!, c = values[high]!;
    const pivot = a < b ? (b < c ? b : a < c ? c : a) : a < c ? a : b < c ? c : b;
    let i = low, j = high;
    while (i <= j) {
      while (values[i]! < pivot) i++;
      while (values[j]! > pivot) j--;
      if (i > j) break;
      const held = values[i]!;
      values[i++] = values[j]!;
      values[j--] = held;
    }
    if (place <= j) high = j;
    else if (place >= i) low = i;
    else break;
  }
  return values[place] === 0 ? values.sort() : values;
}
