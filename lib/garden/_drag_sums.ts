import type { DragData } from "./_drag_data.ts";

/** q of every pair, log s and the depth factor f, in one array. */
export type Theta = Float64Array;

export const dragAt = (eta: number): number => 1 / (1 + Math.exp(-eta));

/** How q and s grow with depth: 1 + f z2, kept above 0.1. */
export const scaleAt = (f: number, z2: number): number => Math.max(0.1, 1 + f * z2);

/** What one look at the points gives: the sum of squares with the controls in it, and where asked for, its normal equations. */
export interface DragSums {
  squares: number;
  /** Readings alone as the fit has them: controls and trials taken together. */
  readonly clean: Float64Array;
  readonly alone: Float64Array;
  readonly drag: Float64Array;
  /** Half of the negative slope of the sum, and its curvature (Gauss-Newton) with the readings alone fitted along, by parameter. */
  readonly gradient: Float64Array;
  readonly normal: Float64Array;
}

export function emptySums(data: DragData): DragSums {
  const width = data.pairs + 2;
  return {
    squares: 0,
    clean: new Float64Array(data.cellClean.length),
    alone: new Float64Array(data.slotAlone.length),
    drag: new Float64Array(data.x2.length),
    gradient: new Float64Array(width),
    normal: new Float64Array(width * width),
  };
}

/**
 * Adds up sum w (reading - clean + drag (clean - alone))^2 over trials and (control - clean)^2, (control - alone)^2 over controls, each cell's clean and alone
 * readings at their own best (they enter linearly: variable projection, Golub and Pereyra 1973, SIAM J. Numer. Anal. 10:413-432, with
 * the slopes of Kaufman 1975, BIT 15:49-57).
 *
 * @param weights One a point, 0 or above.
 * @param blockWeights One a block: how often the block counts. Left out: once.
 */
export function addSums(
  data: DragData,
  theta: Theta,
  into: DragSums,
  options: {
    readonly weights: Float64Array;
    readonly slopes: boolean;
    readonly blockWeights?: Float64Array | undefined;
  },
): void {
  const { x2, z2, reading, pair, slot, cellStart, slotStart, pairs } = data;
  const { weights, slopes, blockWeights } = options;
  const { clean, alone, drag, gradient, normal } = into;
  const width = pairs + 2, logS = theta[pairs]!, f = theta[pairs + 1]!, perS = Math.exp(-logS);
  const slots = data.slotAlone.length;
  const own = new Float64Array(slots), cross = new Float64Array(slots), right = new Float64Array(slots);
  const bySlot = slopes ? new Float64Array(slots * width) : own;
  const byClean = new Float64Array(width);
  gradient.fill(0);
  normal.fill(0);
  into.squares = 0;
  for (let cell = 0; cell + 1 < cellStart.length; cell++) {
    const times = blockWeights === undefined ? 1 : blockWeights[data.cellBlock[cell]!]!;
    if (times === 0) continue;
    const from = cellStart[cell]!, to = cellStart[cell + 1]!;
    const firstSlot = slotStart[cell]!, endSlot = slotStart[cell + 1]!;
    let cleanOwn = 1, cleanRight = data.cellClean[cell]!;
    for (let k = firstSlot; k < endSlot; k++) {
      own[k] = 1;
      cross[k] = 0;
      right[k] = data.slotAlone[k]!;
    }
    for (let i = from; i < to; i++) {
      const p = 1 / (1 + Math.exp((x2[i]! / scaleAt(f, z2[i]!) - theta[pair[i]!]!) * perS));
      const w = weights[i]!, k = slot[i]!, rest = 1 - p;
      drag[i] = p;
      cleanOwn += w * rest * rest;
      cleanRight += w * rest * reading[i]!;
      own[k]! += w * p * p;
      cross[k]! += w * p * rest;
      right[k]! += w * p * reading[i]!;
    }
    let schur = cleanOwn, c = cleanRight;
    for (let k = firstSlot; k < endSlot; k++) {
      schur -= cross[k]! * cross[k]! / own[k]!;
      c -= cross[k]! * right[k]! / own[k]!;
    }
    c /= schur;
    clean[cell] = c;
    let squares = (data.cellClean[cell]! - c) ** 2;
    for (let k = firstSlot; k < endSlot; k++) {
      const a = (right[k]! - cross[k]! * c) / own[k]!;
      alone[k] = a;
      squares += (data.slotAlone[k]! - a) ** 2;
    }
    for (let i = from; i < to; i++) {
      const left = reading[i]! - c + drag[i]! * (c - alone[slot[i]!]!);
      squares += weights[i]! * left * left;
    }
    into.squares += times * squares;
    if (!slopes) continue;
    byClean.fill(0);
    bySlot.fill(0, firstSlot * width, endSlot * width);
    for (let i = from; i < to; i++) {
      const p = drag[i]!, rest = 1 - p, k = slot[i]!, j = pair[i]!, w = times * weights[i]!;
      const scale = scaleAt(f, z2[i]!);
      const steep = -p * rest * (c - alone[k]!);
      const byQ = steep * perS, byS = -steep * (theta[j]! - x2[i]! / scale) * perS;
      const byF = data.depthVaries ? byQ * x2[i]! * z2[i]! / (scale * scale) : 0;
      const left = w * (reading[i]! - c + p * (c - alone[k]!));
      gradient[j]! += left * byQ;
      gradient[pairs]! += left * byS;
      gradient[pairs + 1]! += left * byF;
      normal[j * width + j]! += w * byQ * byQ;
      normal[j * width + pairs]! += w * byQ * byS;
      normal[j * width + pairs + 1]! += w * byQ * byF;
      normal[pairs * width + pairs]! += w * byS * byS;
      normal[pairs * width + pairs + 1]! += w * byS * byF;
      normal[(pairs + 1) * width + pairs + 1]! += w * byF * byF;
      const wc = w * rest, wa = w * p, row = k * width;
      byClean[j]! += wc * byQ;
      byClean[pairs]! += wc * byS;
      byClean[pairs + 1]! += wc * byF;
      bySlot[row + j]! += wa * byQ;
      bySlot[row + pairs]! += wa * byS;
      bySlot[row + pairs + 1]! += wa * byF;
    }
    for (let k = firstSlot; k < endSlot; k++) {
      const row = k * width, ownK = times * own[k]!, share = cross[k]! / own[k]!;
      for (let a = 0; a < width; a++) {
        const va = bySlot[row + a]!;
        if (va === 0) continue;
        for (let b = a; b < width; b++) normal[a * width + b]! -= va * bySlot[row + b]! / ownK;
        byClean[a]! -= share * va;
      }
    }
    for (let a = 0; a < width; a++) {
      const va = byClean[a]!;
      if (va === 0) continue;
      for (let b = a; b < width; b++) normal[a * width + b]! -= va * byClean[b]! / (times * schur);
    }
  }
}

/** One projected row of the fit, for covariances: derivatives with what the readings alone could take up removed. */
export interface ProjectedRow {
  readonly block: number;
  readonly residual: number;
  readonly derivatives: Float64Array;
}

/**
 * Gives the rows of the weighted least-squares problem, trials and controls, with the readings alone projected out of the derivatives; `addSums` must
 * have been called at the same place.
 */
export function projectedRows(
  data: DragData,
  theta: Theta,
  at: DragSums,
  weights: Float64Array,
): ProjectedRow[] {
  const { x2, z2, reading, pair, slot, cellStart, slotStart, pairs } = data;
  const width = pairs + 2, perS = Math.exp(-theta[pairs]!), f = theta[pairs + 1]!;
  const rows: ProjectedRow[] = [];
  for (let cell = 0; cell + 1 < cellStart.length; cell++) {
    const from = cellStart[cell]!, to = cellStart[cell + 1]!;
    const firstSlot = slotStart[cell]!, endSlot = slotStart[cell + 1]!, slots = endSlot - firstSlot;
    const c = at.clean[cell]!, block = data.cellBlock[cell]!;
    const slopes: Float64Array[] = [];
    const own = new Float64Array(slots).fill(1), cross = new Float64Array(slots);
    const bySlot = Array.from({ length: slots }, () => new Float64Array(width));
    const byClean = new Float64Array(width);
    let schur = 1;
    for (let i = from; i < to; i++) {
      const p = at.drag[i]!, rest = 1 - p, k = slot[i]! - firstSlot, j = pair[i]!, w = weights[i]!;
      const scale = scaleAt(f, z2[i]!), steep = -p * rest * (c - at.alone[slot[i]!]!);
      const d = new Float64Array(width);
      d[j] = steep * perS;
      d[pairs] = -steep * (theta[j]! - x2[i]! / scale) * perS;
      d[pairs + 1] = data.depthVaries ? steep * perS * x2[i]! * z2[i]! / (scale * scale) : 0;
      slopes.push(d);
      own[k]! += w * p * p;
      cross[k]! += w * p * rest;
      schur += w * rest * rest;
      for (let a = 0; a < width; a++) {
        byClean[a]! += w * rest * d[a]!;
        bySlot[k]![a]! += w * p * d[a]!;
      }
    }
    // Readings alone that fit each derivative best, taken away from it.
    const takeClean = byClean.slice();
    for (let k = 0; k < slots; k++) {
      schur -= cross[k]! ** 2 / own[k]!;
      for (let a = 0; a < width; a++) takeClean[a]! -= cross[k]! * bySlot[k]![a]! / own[k]!;
    }
    for (let a = 0; a < width; a++) takeClean[a]! /= schur;
    const takeAlone = bySlot.map((by, k) =>
      by.map((value, a) => (value - cross[k]! * takeClean[a]!) / own[k]!)
    );
    rows.push({ block, residual: data.cellClean[cell]! - c, derivatives: takeClean.map((value) => -value) });
    takeAlone.forEach((take, k) =>
      rows.push({
        block,
        residual: data.slotAlone[firstSlot + k]! - at.alone[firstSlot + k]!,
        derivatives: take.map((value) => -value),
      })
    );
    for (let i = from; i < to; i++) {
      const p = at.drag[i]!, k = slot[i]! - firstSlot, root = Math.sqrt(weights[i]!);
      const take = takeAlone[k]!;
      rows.push({
        block,
        residual: root * (reading[i]! - c + p * (c - at.alone[slot[i]!]!)),
        derivatives: slopes[i - from]!.map((value, a) =>
          root * (value - (1 - p) * takeClean[a]! - p * take[a]!)
        ),
      });
    }
  }
  return rows;
}
