/** The rows of each cluster, clusters in order of first appearance. Names may be strings or numbers. */
export function clusterRows(clusterIds: ArrayLike<number | string>): Int32Array[] {
  const rows = new Map<number | string, number[]>();
  for (let i = 0; i < clusterIds.length; i++) {
    const id = clusterIds[i]!;
    const known = rows.get(id);
    if (known) known.push(i);
    else rows.set(id, [i]);
  }
  return [...rows.values()].map((list) => Int32Array.from(list));
}
