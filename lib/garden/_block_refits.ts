import type { DragFit } from "./_drag_fit.ts";

/** A fit made ready to be done again and again with blocks drawn anew. */
export interface BlockRefits {
  readonly blocks: number;
  /** Fits q of every pair, log s and f with each block counted so often; null where the search does not settle. */
  refit(times: ArrayLike<number>): Float64Array | null;
}

/**
 * Sums by distinct distance: points of one pair, distance and depth enter a fit only through sum w and sum w drag, so that a refit costs as much as there
 * are distinct gaps, however many trials there are. The readings alone are taken as the controls gave them (fitted ones would hide how far they are
 * off), the weights stay as the whole fit has them; both belong to the blocks, which are drawn whole.
 */
export function blockRefits(fit: DragFit): BlockRefits {
  const { data, theta: start, free, weights } = fit;
  const { pairs } = data, width = pairs + 2;
  const blockIds = [...new Set(data.cellBlock)].sort((a, b) => a - b);
  const spots = new Map<string, number>();
  const spotPair: number[] = [], spotX2: number[] = [], spotZ2: number[] = [];
  const entries = new Map<number, Map<number, [number, number]>>();
  for (let cell = 0; cell + 1 < data.cellStart.length; cell++) {
    const block = blockIds.indexOf(data.cellBlock[cell]!);
    const own = entries.get(block) ?? new Map<number, [number, number]>();
    entries.set(block, own);
    for (let i = data.cellStart[cell]!; i < data.cellStart[cell + 1]!; i++) {
      const key = `${data.pair[i]} ${data.x2[i]} ${data.z2[i]}`;
      let spot = spots.get(key);
      if (spot === undefined) {
        spot = spotPair.length;
        spots.set(key, spot);
        spotPair.push(data.pair[i]!);
        spotX2.push(data.x2[i]!);
        spotZ2.push(data.z2[i]!);
      }
      const clean = data.cellClean[cell]!, apart = clean - data.slotAlone[data.slot[i]!]!;
      const w = weights[i]! * apart * apart, sum = own.get(spot) ?? [0, 0];
      sum[0] += w;
      sum[1] += weights[i]! * apart * (clean - data.reading[i]!);
      own.set(spot, sum);
    }
  }
  const count = spotPair.length;
  const pairOf = Int32Array.from(spotPair), x2 = Float64Array.from(spotX2), z2 = Float64Array.from(spotZ2);
  const places: Int32Array[] = [], sumW: Float64Array[] = [], sumD: Float64Array[] = [];
  blockIds.forEach((_, block) => {
    const own = [...(entries.get(block) ?? new Map<number, [number, number]>())];
    places.push(Int32Array.from(own, ([spot]) => spot));
    sumW.push(Float64Array.from(own, ([, sum]) => sum[0]));
    sumD.push(Float64Array.from(own, ([, sum]) => sum[1]));
  });
  const W = new Float64Array(count), D = new Float64Array(count);
  const drag = new Float64Array(count), tried = new Float64Array(count);
  const theta = new Float64Array(width), to = new Float64Array(width);
  // q of a pair meets only s and f: the normal equations are an arrow, solved by taking the pairs out first.
  const head = new Float64Array(pairs), right = new Float64Array(pairs);
  const arm = new Float64Array(pairs), armF = new Float64Array(pairs);
  const moves = new Uint8Array(pairs);
  for (const place of free) if (place < pairs) moves[place] = 1;
  const withF = data.depthVaries;
  const costAt = (at: Float64Array, into: Float64Array): number => {
    const perS = Math.exp(-at[pairs]!), f = at[pairs + 1]!;
    let cost = 0;
    for (let i = 0; i < count; i++) {
      if (W[i] === 0) continue;
      const scale = withF ? Math.max(0.1, 1 + f * z2[i]!) : 1;
      const p = 1 / (1 + Math.exp((x2[i]! / scale - at[pairOf[i]!]!) * perS));
      into[i] = p;
      cost += p * (W[i]! * p - 2 * D[i]!);
    }
    return cost;
  };
  const refit = (times: ArrayLike<number>): Float64Array | null => {
    W.fill(0);
    D.fill(0);
    for (let block = 0; block < blockIds.length; block++) {
      const often = times[block]!;
      if (often === 0) continue;
      const place = places[block]!, w = sumW[block]!, d = sumD[block]!;
      for (let k = 0; k < place.length; k++) {
        W[place[k]!]! += often * w[k]!;
        D[place[k]!]! += often * d[k]!;
      }
    }
    theta.set(start);
    let cost = costAt(theta, drag), damping = 1e-4;
    for (let step = 0; step < 40; step++) {
      head.fill(0);
      right.fill(0);
      arm.fill(0);
      armF.fill(0);
      const perS = Math.exp(-theta[pairs]!), f = theta[pairs + 1]!;
      let ss = 0, sf = 0, ff = 0, rs = 0, rf = 0;
      for (let i = 0; i < count; i++) {
        const w = W[i]!;
        if (w === 0) continue;
        const p = drag[i]!, j = pairOf[i]!, scale = withF ? Math.max(0.1, 1 + f * z2[i]!) : 1;
        const steep = p * (1 - p), byQ = steep * perS, byS = -steep * (theta[j]! - x2[i]! / scale) * perS;
        const left = D[i]! - w * p;
        head[j]! += w * byQ * byQ;
        arm[j]! += w * byQ * byS;
        right[j]! += left * byQ;
        ss += w * byS * byS;
        rs += left * byS;
        if (withF) {
          const byF = byQ * x2[i]! * z2[i]! / (scale * scale);
          armF[j]! += w * byQ * byF;
          sf += w * byS * byF;
          ff += w * byF * byF;
          rf += left * byF;
        }
      }
      let better = false;
      while (damping < 1e8) {
        const more = 1 + damping;
        let s = ss * more, m = sf, g = ff * more, r = rs, h = rf;
        for (let j = 0; j < pairs; j++) {
          if (!moves[j] || head[j] === 0) continue;
          const own = head[j]! * more;
          s -= arm[j]! * arm[j]! / own;
          r -= arm[j]! * right[j]! / own;
          if (withF) {
            m -= arm[j]! * armF[j]! / own;
            g -= armF[j]! * armF[j]! / own;
            h -= armF[j]! * right[j]! / own;
          }
        }
        let moveS: number, moveF = 0;
        if (withF) {
          const determinant = s * g - m * m;
          moveS = (r * g - h * m) / determinant;
          moveF = (h * s - r * m) / determinant;
        } else moveS = r / s;
        let largest = Math.abs(moveS) + Math.abs(moveF * 100);
        to.set(theta);
        to[pairs]! += moveS;
        to[pairs + 1]! += moveF;
        for (let j = 0; j < pairs; j++) {
          if (!moves[j] || head[j] === 0) continue;
          const move = (right[j]! - arm[j]! * moveS - armF[j]! * moveF) / (head[j]! * more);
          to[j]! += move;
          largest = Math.max(largest, Math.abs(move) * perS);
        }
        if (!Number.isFinite(largest)) return null;
        const after = costAt(to, tried);
        if (largest < 1e-6 && after <= cost + 1e-9 * Math.abs(cost)) return to.slice();
        if (after <= cost) {
          theta.set(to);
          drag.set(tried);
          better = cost - after > 0;
          cost = after;
          damping = damping < 1e-8 ? 0 : damping / 30;
          break;
        }
        damping = Math.max(damping * 10, 1e-6);
      }
      if (!better && damping >= 1e8) return null;
    }
    return null;
  };
  return { blocks: blockIds.length, refit };
}
