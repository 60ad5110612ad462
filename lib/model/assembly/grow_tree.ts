// The quick forest's tree grower, for up to three classes and rows without weights: AssemblyScript, compiled to WebAssembly.
// The caller asks where everything lies and fills it in; nothing is allocated here.
//
// A row that was drawn is an entry: row << 10 | times << 2 | class. The sums of a set of entries are three numbers in 64 bits,
// so that one addition adds them all: class 0 in the lowest 21 bits, class 1 in the next 21, all classes in the rest.

/** Most bins of a feature, and the bin of missing values. */
const MISSING: u32 = 255;
const MASK: u64 = 0x1fffff;
/** Nodes of at most so many entries sort the bins as they meet them. */
const FEW: i32 = 16;
/** From so many entries on two features are looked at in one go. */
const PAIR: i32 = 48;

let rows: i32 = 0, features: i32 = 0, tried: i32 = 0, leastLeaf: i64 = 0, mostDepth: i32 = 0;

// Where things lie: first what the caller fills in, then what it reads, then what is ours.
let codesAt: usize = 0, binsAt: usize = 0, lowAt: usize = 0, highAt: usize = 0, exactAt: usize = 0, outcomeAt: usize = 0;
let drawsAt: usize = 0, featureAt: usize = 0, thresholdAt: usize = 0, missingLeftAt: usize = 0, leftAt: usize = 0;
let sharesAt: usize = 0, splitBinAt: usize = 0;
let entriesAt: usize = 0, otherEntriesAt: usize = 0, orderAt: usize = 0, sumsAt: usize = 0, startAt: usize = 0, endAt: usize = 0;
let depthAt: usize = 0, histogramAt: usize = 0, otherHistogramAt: usize = 0, prefixAt: usize = 0, oneEntryAt: usize = 0;
let listAt: usize = 0;

// The best split of the node at work, and how many bins the feature looked at last has there.
let best: f64 = 0, foundBin: u32 = 0, foundNext: u32 = 0, foundSide: u32 = 0, foundLeft: u64 = 0, met: i32 = 0;

/** Lays out the memory from `at` for `n` rows, `p` features and `nodes` nodes; gives its end. */
export function layOut(at: usize, n: usize, p: usize, nodes: usize): usize {
  rows = <i32> n;
  features = <i32> p;
  histogramAt = (at + 15) & ~15;
  otherHistogramAt = histogramAt + 2048;
  prefixAt = otherHistogramAt + 2048;
  oneEntryAt = prefixAt + 2080;
  lowAt = oneEntryAt + 8192;
  highAt = lowAt + 2048 * p;
  thresholdAt = highAt + 2048 * p;
  sharesAt = thresholdAt + 8 * nodes;
  sumsAt = sharesAt + 24 * nodes;
  binsAt = sumsAt + 8 * nodes;
  exactAt = binsAt + 4 * p;
  orderAt = exactAt + 4 * p;
  drawsAt = orderAt + 4 * p;
  entriesAt = drawsAt + 4 * n;
  otherEntriesAt = entriesAt + 4 * n + 4;
  leftAt = otherEntriesAt + 4 * n + 4;
  startAt = leftAt + 4 * nodes;
  endAt = startAt + 4 * nodes;
  depthAt = endAt + 4 * nodes;
  featureAt = depthAt + 4 * nodes;
  splitBinAt = featureAt + 2 * nodes;
  listAt = splitBinAt + 2 * nodes;
  outcomeAt = listAt + 256;
  codesAt = outcomeAt + n;
  missingLeftAt = codesAt + n * p;
  return missingLeftAt + nodes;
}

/** Where the caller finds things, by their number. */
export function placeOf(what: i32): usize {
  switch (what) {
    case 0: return codesAt;
    case 1: return binsAt;
    case 2: return lowAt;
    case 3: return highAt;
    case 4: return exactAt;
    case 5: return outcomeAt;
    case 6: return drawsAt;
    case 7: return featureAt;
    case 8: return thresholdAt;
    case 9: return missingLeftAt;
    case 10: return leftAt;
    case 11: return sharesAt;
    default: return splitBinAt;
  }
}

/** The sums of one row of a class, drawn `times`. */
function sumsOf(times: u64, code: u32): u64 {
  return times << 42 | (code == 0 ? times : code == 1 ? times << 21 : 0);
}

/** Sets what trees are grown by; the memory laid out must be there. */
export function setOptions(tryFeatures: i32, least: i32, depth: i32): void {
  tried = tryFeatures;
  leastLeaf = <i64> least;
  mostDepth = depth;
  for (let entry: u32 = 0; entry < 1024; entry++) {
    store<u64>(oneEntryAt + (<usize> entry << 3), sumsOf(entry >> 2, entry & 3));
  }
}

// The generator of random numbers of the library: xoshiro128**, two words a number.
let a: i32 = 0, b: i32 = 0, c: i32 = 0, d: i32 = 0;

export function setState(s0: i32, s1: i32, s2: i32, s3: i32): void {
  a = s0;
  b = s1;
  c = s2;
  d = s3;
}

// @ts-ignore: a decorator of AssemblyScript
@inline
function nextWord(): u32 {
  const out = <u32> (rotl<i32>(b * 5, 7) * 9), shifted = b << 9;
  c ^= a;
  d ^= b;
  b ^= c;
  a ^= d;
  c ^= shifted;
  d = rotl<i32>(d, 11);
  return out;
}

/** A whole number from 0 to under `below`: the high half of a word times it. */
// @ts-ignore: a decorator of AssemblyScript
@inline
function nextBelow(below: u32): usize {
  return <usize> (<u64> nextWord() * <u64> below >> 32);
}

/** Draws as many rows as there are, with replacement. */
export function draw(): void {
  memory.fill(drawsAt, 0, <usize> rows << 2);
  for (let i = 0; i < rows; i++) {
    const at = drawsAt + (nextBelow(rows) << 2);
    store<i32>(at, load<i32>(at) + 1);
  }
}

/** Takes every row once. */
export function drawAll(): void {
  for (let i = 0; i < rows; i++) store<i32>(drawsAt + (<usize> i << 2), 1);
}

/** The feature to look at as number `at`, drawn among those not yet looked at. */
function drawFeature(at: i32): i32 {
  const here = orderAt + (<usize> at << 2);
  const there = here + (nextBelow(features - at) << 2), picked = load<i32>(there);
  store<i32>(there, load<i32>(here));
  store<i32>(here, picked);
  return picked;
}

// @ts-ignore: a decorator of AssemblyScript
@inline
function sumsOfEntry(entry: u32): u64 {
  return load<u64>(oneEntryAt + (<usize> (entry & 1023) << 3));
}
// @ts-ignore: a decorator of AssemblyScript
@inline
function sizeOf(sums: u64): i64 {
  return <i64> (sums >> 42);
}
// @ts-ignore: a decorator of AssemblyScript
@inline
function prefixOf(cut: i32): usize {
  return prefixAt + (<usize> cut << 3);
}

/** Puts the rows drawn into entries and their sums into node 0. No row is ever drawn more than 255 times: that has odds of 1 to 255!. */
function fillEntries(): i32 {
  let at = entriesAt, sums: u64 = 0;
  for (let i = 0; i < rows; i++) {
    const times = load<u32>(drawsAt + (<usize> i << 2)), code = <u32> load<u8>(outcomeAt + <usize> i);
    sums += <u64> times * load<u64>(oneEntryAt + (<usize> (4 | code) << 3));
    store<u32>(at, <u32> i << 10 | times << 2 | code);
    at += <usize> (times > 0) << 2;
  }
  store<u64>(sumsAt, sums);
  return <i32> ((at - entriesAt) >> 2);
}

/**
 * Looks for the best cut from `first` to before `last`, where the sums at `prefixOf(cut)` lie to its left. Two cuts are worked
 * out at a time; of equals the first counts. Gives the cut, or -1 where none beats the best so far.
 *
 * With l of t cases of a class and s of n in all to the left, a cut lowers the Gini index by the sum over classes of
 * (n l - t s)^2 / (s (n - s)), times what is the same for every cut. The three differences add up to nought: with x and y for
 * two of them the sum of their squares is 2 (x (x + y) + y^2).
 */
function bestCut(first: i32, last: i32, total: u64): i32 {
  const all = sizeOf(total);
  if (leastLeaf > 1) {
    while (first < last && sizeOf(load<u64>(prefixOf(first))) < leastLeaf) first++;
    while (last > first && all - sizeOf(load<u64>(prefixOf(last - 1))) < leastLeaf) last--;
  }
  // The place after the last cut parts nothing for now, and nought by nought beats nothing.
  const end = prefixOf(last), held = load<u64>(end);
  store<u64>(end, total);
  const mask = i64x2.splat(MASK), magic = i64x2.splat(0x4330000000000000), base = f64x2.splat(4503599627370496.0);
  const t0 = f64x2.splat(<f64> <i64> (total & MASK)), t1 = f64x2.splat(<f64> <i64> (total >> 21 & MASK));
  const n = f64x2.splat(<f64> all), two = i64x2.splat(2);
  let beat = f64x2.splat(best), cut = i64x2.splat(-1);
  let at = i64x2.replace_lane(i64x2.splat(<i64> first), 1, <i64> first + 1);
  for (let place = prefixOf(first); place < end; place += 16) {
    const sums = v128.load(place);
    // A whole number under 2^52 as the last bits of 2^52 and itself.
    const l0 = f64x2.sub(v128.or(v128.and(sums, mask), magic), base);
    const l1 = f64x2.sub(v128.or(v128.and(i64x2.shr_u(sums, 21), mask), magic), base);
    const size = f64x2.sub(v128.or(i64x2.shr_u(sums, 42), magic), base);
    const x = f64x2.sub(f64x2.mul(n, l0), f64x2.mul(t0, size));
    const y = f64x2.sub(f64x2.mul(n, l1), f64x2.mul(t1, size));
    const squares = f64x2.add(f64x2.mul(x, f64x2.add(x, y)), f64x2.mul(y, y));
    const score = f64x2.div(squares, f64x2.mul(size, f64x2.sub(n, size)));
    cut = v128.bitselect(at, cut, f64x2.gt(score, beat));
    beat = f64x2.pmax(beat, score);
    at = i64x2.add(at, two);
  }
  store<u64>(end, held);
  const c0 = <i32> i64x2.extract_lane(cut, 0), c1 = <i32> i64x2.extract_lane(cut, 1);
  const b0 = f64x2.extract_lane(beat, 0), b1 = f64x2.extract_lane(beat, 1);
  if (c1 >= 0 && (c0 < 0 || b1 > b0 || (b1 == b0 && c1 < c0))) {
    best = b1;
    return c1;
  }
  if (c0 >= 0) best = b0;
  return c0;
}

/** Leaves what lies before each bin of the list of those met, and empties the histogram. */
function addUpList(histogram: usize): void {
  let left: u64 = 0;
  for (let i = 0; i < met; i++) {
    const place = histogram + (<usize> load<u8>(listAt + <usize> i) << 3);
    store<u64>(prefixOf(i), left);
    left += load<u64>(place);
    store<u64>(place, 0);
  }
}

/** The same for all bins: it makes the list too. */
function addUpAll(histogram: usize, bins: i32): void {
  let left: u64 = 0, prefix = prefixAt, list = listAt;
  for (let bin = 0; bin < bins; bin++) {
    const place = histogram + (<usize> bin << 3), here = load<u64>(place);
    const step = <usize> (here != 0);
    store<u64>(prefix, left);
    store<u8>(list, bin);
    store<u64>(place, 0);
    left += here;
    prefix += step << 3;
    list += step;
  }
  met = <i32> (list - listAt);
}

/** Notes a split before a bin of the list. */
function keep(cut: i32): void {
  foundLeft = load<u64>(prefixOf(cut));
  foundBin = <u32> load<u8>(listAt + <usize> cut - 1);
  foundNext = <u32> load<u8>(listAt + <usize> cut);
}

/** Looks for a better split before one of the bins added up; some values may be missing. */
function look(histogram: usize, total: u64): bool {
  const missing = histogram + (<usize> MISSING << 3), away = load<u64>(missing);
  if (away != 0) {
    store<u64>(missing, 0);
    return lookMissing(away, total);
  }
  const cut = bestCut(0, met, total);
  if (cut < 0) return false;
  keep(cut);
  foundSide = 2 * sizeOf(foundLeft) >= sizeOf(total) ? 1 : 0;
  return true;
}

/** The same where some are missing: they may go to either side, or be a side of their own, which is the cut after all bins. */
function lookMissing(away: u64, total: u64): bool {
  const cuts = met++, before = best;
  store<u64>(prefixOf(cuts), total - away);
  const apart = bestCut(0, cuts + 1, total), apartBest = best;
  if (apart == cuts) {
    foundBin = MISSING - 1;
    foundNext = MISSING;
    foundLeft = total - away;
  } else if (apart >= 0) keep(apart);
  if (apart >= 0) foundSide = 0;
  for (let cut = 0; cut < cuts; cut++) store<u64>(prefixOf(cut), load<u64>(prefixOf(cut)) + away);
  best = before;
  const together = bestCut(1, cuts, total);
  if (together >= 0 && (apart < 0 || best > apartBest || (best == apartBest && together < apart))) {
    keep(together);
    foundSide = 1;
    return true;
  }
  best = apartBest;
  return apart >= 0;
}

/** Looks at one feature in a node of few entries: its bins are sorted as they are met. */
function lookFew(from: usize, to: usize, codes: usize, total: u64): bool {
  const histogram = histogramAt, only = load<u8>(codes + <usize> (load<u32>(from) >> 10));
  let differs = from + 4;
  while (differs < to && load<u8>(codes + <usize> (load<u32>(differs) >> 10)) == only) differs += 4;
  met = 1;
  if (differs == to) return false;
  let count: usize = 0;
  for (let at = from; at < to; at += 4) {
    const entry = load<u32>(at), code = <u32> load<u8>(codes + <usize> (entry >> 10));
    const place = histogram + (<usize> code << 3), here = load<u64>(place);
    store<u64>(place, here + sumsOfEntry(entry));
    if (here != 0) continue;
    let spot = listAt + count++;
    for (; spot > listAt; spot--) {
      const before = <u32> load<u8>(spot - 1);
      if (before < code) break;
      store<u8>(spot, before);
    }
    store<u8>(spot, code);
  }
  met = <i32> count - <i32> (load<u64>(histogram + (<usize> MISSING << 3)) != 0);
  addUpList(histogram);
  return look(histogram, total);
}

/** Looks at one feature in a node of more entries than that, yet fewer than bins: those met are kept in a bitmap. */
function lookSome(from: usize, to: usize, codes: usize, total: u64): bool {
  const histogram = histogramAt;
  let w0: u64 = 0, w1: u64 = 0, w2: u64 = 0, w3: u64 = 0;
  for (let at = from; at < to; at += 4) {
    const entry = load<u32>(at), code = <u32> load<u8>(codes + <usize> (entry >> 10));
    const place = histogram + (<usize> code << 3);
    store<u64>(place, load<u64>(place) + sumsOfEntry(entry));
    const bit = <u64> 1 << <u64> (code & 63), word = code >> 6;
    w0 |= select<u64>(bit, 0, word == 0);
    w1 |= select<u64>(bit, 0, word == 1);
    w2 |= select<u64>(bit, 0, word == 2);
    w3 |= select<u64>(bit, 0, word == 3);
  }
  let at = listAt;
  for (; w0 != 0; w0 &= w0 - 1) store<u8>(at++, <u8> ctz(w0));
  for (; w1 != 0; w1 &= w1 - 1) store<u8>(at++, <u8> (64 + ctz(w1)));
  for (; w2 != 0; w2 &= w2 - 1) store<u8>(at++, <u8> (128 + ctz(w2)));
  for (w3 &= ~(<u64> 1 << 63); w3 != 0; w3 &= w3 - 1) store<u8>(at++, <u8> (192 + ctz(w3)));
  met = <i32> (at - listAt);
  addUpList(histogram);
  return look(histogram, total);
}

/** Looks at one feature in a node of many entries. */
function lookMany(from: usize, to: usize, codes: usize, bins: i32, total: u64): bool {
  const histogram = histogramAt;
  for (let at = from; at < to; at += 4) {
    const entry = load<u32>(at), place = histogram + (<usize> load<u8>(codes + <usize> (entry >> 10)) << 3);
    store<u64>(place, load<u64>(place) + sumsOfEntry(entry));
  }
  addUpAll(histogram, bins);
  return look(histogram, total);
}

/** Adds a node's entries to the histograms of two features in one go, which takes less than once for each. */
function addPair(from: usize, to: usize, codes: usize, otherCodes: usize): void {
  const histogram = histogramAt, other = otherHistogramAt;
  for (let at = from; at < to; at += 4) {
    const entry = load<u32>(at), row = <usize> (entry >> 10), sums = sumsOfEntry(entry);
    const place = histogram + (<usize> load<u8>(codes + row) << 3);
    const there = other + (<usize> load<u8>(otherCodes + row) << 3);
    store<u64>(place, load<u64>(place) + sums);
    store<u64>(there, load<u64>(there) + sums);
  }
}

/**
 * Puts a node's entries into the other room, those that go left from its beginning on, the others from its end back, since which
 * comes first means nothing; gives how many went left.
 */
function part(from: usize, to: usize, target: usize, codes: usize): i32 {
  // Where missing values go left they count as the bin before all. Both sides are written and one place moves on: which one cannot
  // be foretold, so a jump would cost more.
  const shift = foundSide, bin = foundBin + shift;
  let left = target;
  for (let at = from; at < to; at += 4) {
    const entry = load<u32>(at), code = <u32> load<u8>(codes + <usize> (entry >> 10));
    store<u32>(left, entry);
    store<u32>(to - 4 - at + left, entry);
    left += <usize> ((code + shift & 255) <= bin) << 2;
  }
  return <i32> ((left - target) >> 2);
}

/** The middle of two numbers, never rounded up to the higher one, so that "at or below" parts them. */
function middleOf(low: f64, high: f64): f64 {
  const middle = low + (high - low) / 2;
  return middle < high ? middle : low;
}

function setThreshold(node: usize, feature: usize): void {
  const threshold = thresholdAt + (node << 3), splitBin = splitBinAt + (node << 1);
  if (foundNext == MISSING) {
    store<u16>(splitBin, <u16> foundBin);
    store<f64>(threshold, Infinity);
    return;
  }
  const low = lowAt + (feature << 11), high = highAt + (feature << 11);
  let last = <usize> foundBin, middle = middleOf(load<f64>(high + (last << 3)), load<f64>(low + (<usize> foundNext << 3)));
  // Bins between the two are empty here, but rows met later may lie in them.
  while (
    last + 1 < <usize> foundNext &&
    load<f64>(low + (last + 1 << 3)) + load<f64>(high + (last + 1 << 3)) <= 2 * middle
  ) last++;
  if (load<i32>(exactAt + (feature << 2)) == 0) {
    middle = middleOf(load<f64>(high + (last << 3)), load<f64>(low + (last + 1 << 3)));
  }
  store<u16>(splitBin, <u16> last);
  store<f64>(threshold, middle);
}

/** Grows a tree on the rows drawn; gives how many nodes it has. */
export function grow(): i32 {
  for (let j = 0; j < features; j++) store<i32>(orderAt + (<usize> j << 2), j);
  store<i32>(startAt, 0);
  store<i32>(endAt, fillEntries());
  store<i32>(depthAt, 0);
  let nodes = 1;
  for (let node = 0; node < nodes; node++) {
    const of2 = <usize> node << 1, of4 = of2 << 1, of8 = of4 << 1;
    store<i16>(featureAt + of2, -1);
    store<f64>(thresholdAt + of8, 0);
    store<u8>(missingLeftAt + <usize> node, 0);
    store<i32>(leftAt + of4, 0);
    const total = load<u64>(sumsAt + of8), all = sizeOf(total);
    const t0 = <i64> (total & MASK), t1 = <i64> (total >> 21 & MASK), level = load<i32>(depthAt + of4);
    if (t0 == all || t1 == all || t0 + t1 == 0 || all < 2 * leastLeaf || level >= mostDepth) continue;
    const start = load<i32>(startAt + of4), end = load<i32>(endAt + of4), entries = end - start;
    const offset = <usize> start << 2;
    const from = (level & 1 ? otherEntriesAt : entriesAt) + offset, to = from + (<usize> entries << 2);
    best = 0.5e-10 * <f64> all * <f64> all;
    let chosen = -1;
    for (let at = 0, looked = 0; at < features && looked < tried; at++) {
      const one = drawFeature(at), codes = codesAt + <usize> one * <usize> rows;
      const bins = load<i32>(binsAt + (<usize> one << 2));
      let better: bool;
      if (entries <= FEW) better = lookFew(from, to, codes, total);
      else if (entries >= PAIR && at + 1 < features && looked + 1 < tried) {
        const two = drawFeature(++at), otherBins = load<i32>(binsAt + (<usize> two << 2));
        addPair(from, to, codes, codesAt + <usize> two * <usize> rows);
        addUpAll(histogramAt, bins);
        if (look(histogramAt, total)) chosen = one;
        looked += <i32> (met > 1);
        addUpAll(otherHistogramAt, otherBins);
        if (look(otherHistogramAt, total)) chosen = two;
        looked += <i32> (met > 1);
        continue;
      } else if (entries * 2 < bins) better = lookSome(from, to, codes, total);
      else better = lookMany(from, to, codes, bins, total);
      if (better) chosen = one;
      looked += <i32> (met > 1);
    }
    if (chosen < 0) continue;
    const target = (level & 1 ? entriesAt : otherEntriesAt) + offset;
    const middle = start + part(from, to, target, codesAt + <usize> chosen * <usize> rows);
    store<i16>(featureAt + of2, <i16> chosen);
    setThreshold(<usize> node, <usize> chosen);
    store<u8>(missingLeftAt + <usize> node, <u8> foundSide);
    store<i32>(leftAt + of4, nodes);
    const next4 = <usize> nodes << 2, next8 = next4 << 1;
    store<i32>(startAt + next4, start);
    store<i32>(endAt + next4, middle);
    store<i32>(startAt + next4 + 4, middle);
    store<i32>(endAt + next4 + 4, end);
    store<i32>(depthAt + next4, level + 1);
    store<i32>(depthAt + next4 + 4, level + 1);
    store<u64>(sumsAt + next8, foundLeft);
    store<u64>(sumsAt + next8 + 8, total - foundLeft);
    nodes += 2;
  }
  return nodes;
}

/** Writes the class shares of the first `nodes` nodes, `classes` numbers each. */
export function writeShares(nodes: i32, classes: i32): void {
  let at = sharesAt;
  for (let node = 0; node < nodes; node++) {
    const sums = load<u64>(sumsAt + (<usize> node << 3)), all = <f64> sizeOf(sums);
    const x = <i64> (sums & MASK), y = <i64> (sums >> 21 & MASK);
    store<f64>(at, <f64> x / all);
    if (classes > 1) store<f64>(at + 8, <f64> y / all);
    if (classes > 2) store<f64>(at + 16, <f64> (sizeOf(sums) - x - y) / all);
    at += <usize> classes << 3;
  }
}
