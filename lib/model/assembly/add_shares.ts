// Follows rows down a tree and adds up the class shares of the leaves they come to: AssemblyScript, compiled to WebAssembly.
//
// A node takes 16 bytes: its threshold; then 32 bits for where its left child lies (a leaf's is the leaf itself), 16 for its
// feature and 16 that are 1 where missing values go right. A leaf asks for its first feature with a threshold of +Infinity, and
// sends missing values left, so that whoever has come to it stays. Rows lie one after the other.

// @ts-ignore: a decorator of AssemblyScript
@inline
function step(nodes: usize, node: u32, row: usize): u32 {
  const at = nodes + (<usize> node << 4), what = load<u64>(at, 8);
  const value = load<f64>(row + (<usize> (what >> 32 & 0xffff) << 3));
  const right = <u32> (value > load<f64>(at)) | (<u32> (value != value) & <u32> (what >> 48));
  return <u32> what + right;
}

// @ts-ignore: a decorator of AssemblyScript
@inline
function add(sums: usize, shares: usize, leaf: u32, classes: i32): void {
  const from = shares + <usize> leaf * <usize> classes * 8;
  for (let k: usize = 0; k < <usize> classes << 3; k += 8) store<f64>(sums + k, load<f64>(sums + k) + load<f64>(from + k));
}

/** Adds the shares of the leaf of each row to its sums. Four rows go down together: each step of one waits for the last. */
export function addShares(nodes: usize, shares: usize, classes: i32, row: usize, rows: i32, features: i32, sums: usize): void {
  const next = <usize> features << 3, nextSums = <usize> classes << 3;
  let left = rows;
  for (; left >= 4; left -= 4) {
    const row1 = row + next, row2 = row1 + next, row3 = row2 + next;
    let a: u32 = 0, b: u32 = 0, c: u32 = 0, d: u32 = 0, moved: u32;
    do {
      const a1 = step(nodes, a, row), b1 = step(nodes, b, row1);
      const c1 = step(nodes, c, row2), d1 = step(nodes, d, row3);
      moved = (a ^ a1) | (b ^ b1) | (c ^ c1) | (d ^ d1);
      a = a1;
      b = b1;
      c = c1;
      d = d1;
    } while (moved != 0);
    add(sums, shares, a, classes);
    add(sums + nextSums, shares, b, classes);
    add(sums + 2 * nextSums, shares, c, classes);
    add(sums + 3 * nextSums, shares, d, classes);
    row = row3 + next;
    sums += 4 * nextSums;
  }
  for (; left > 0; left--) {
    let node: u32 = 0;
    for (;;) {
      const then = step(nodes, node, row);
      if (then == node) break;
      node = then;
    }
    add(sums, shares, node, classes);
    row += next;
    sums += nextSums;
  }
}
