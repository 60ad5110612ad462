/** One trial and direction as the fit sees it. */
export interface DragPoint {
  /** Distance between centres, or the gap alone, squared, in cm2. */
  readonly x2: number;
  /** Depth squared less the reference depth squared, in cm2; 0 where depth does not vary. */
  readonly z2: number;
  readonly reading: number;
  /** The target's reading alone and the neighbour's, as the controls gave them. */
  readonly clean: number;
  readonly alone: number;
  readonly pair: number;
  readonly block: number;
  /** Points with one key share one reading of the target alone; with one neighbour key besides, one of the neighbour alone. */
  readonly cleanKey: string;
  readonly aloneKey: string;
}

/**
 * The points put in order of what they share. A cell is one reading of a target alone with all trials that are measured against it; its slots are the
 * readings of the neighbours alone.
 */
export interface DragData {
  readonly points: readonly DragPoint[];
  readonly x2: Float64Array;
  readonly z2: Float64Array;
  readonly reading: Float64Array;
  readonly pair: Int32Array;
  /** Index of the point's slot among all slots. */
  readonly slot: Int32Array;
  /** Cell k holds the points from `cellStart[k]` to `cellStart[k + 1]` and the slots likewise. */
  readonly cellStart: Int32Array;
  readonly slotStart: Int32Array;
  readonly cellBlock: Int32Array;
  readonly cellClean: Float64Array;
  readonly slotAlone: Float64Array;
  readonly pairs: number;
  /** Whether several depths were laid. */
  readonly depthVaries: boolean;
}

/** Sorts points into cells and slots. The order of the points does not matter to any sum but for rounding. */
export function dragData(points: readonly DragPoint[], pairs: number): DragData {
  const cells = new Map<string, DragPoint[]>();
  for (const point of points) {
    const key = JSON.stringify([point.block, point.cleanKey]);
    const cell = cells.get(key);
    if (cell) cell.push(point);
    else cells.set(key, [point]);
  }
  const ordered = [...cells.values()].flat();
  const slot = new Int32Array(points.length);
  const cellStart = [0], slotStart = [0], cellBlock: number[] = [], cellClean: number[] = [];
  const slotAlone: number[] = [];
  let at = 0;
  for (const cell of cells.values()) {
    const own = new Map<string, number>();
    for (const point of cell) {
      if (!own.has(point.aloneKey)) {
        own.set(point.aloneKey, slotAlone.length);
        slotAlone.push(point.alone);
      }
      slot[at++] = own.get(point.aloneKey)!;
    }
    cellStart.push(at);
    slotStart.push(slotAlone.length);
    cellBlock.push(cell[0]!.block);
    cellClean.push(cell[0]!.clean);
  }
  return {
    points: ordered,
    x2: Float64Array.from(ordered, (point) => point.x2),
    z2: Float64Array.from(ordered, (point) => point.z2),
    reading: Float64Array.from(ordered, (point) => point.reading),
    pair: Int32Array.from(ordered, (point) => point.pair),
    slot,
    cellStart: Int32Array.from(cellStart),
    slotStart: Int32Array.from(slotStart),
    cellBlock: Int32Array.from(cellBlock),
    cellClean: Float64Array.from(cellClean),
    slotAlone: Float64Array.from(slotAlone),
    pairs,
    depthVaries: new Set(ordered.map((point) => point.z2)).size > 1,
  };
}
