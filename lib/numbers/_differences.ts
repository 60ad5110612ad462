/** Central differences of five points, whose error is near 1e-12 of the derivative where the residuals are smooth. */
export function differences(
  at: (x: Float64Array) => Float64Array,
  x: Float64Array,
  rows: number,
): Float64Array {
  const size = x.length;
  const out = new Float64Array(rows * size);
  for (let j = 0; j < size; j++) {
    const moved = (by: number): Float64Array => {
      const point = x.slice();
      point[j]! += by;
      return at(point);
    };
    // The step is a power of two so that going there and back loses nothing.
    const h = 2 ** Math.round(Math.log2(1e-3 * (Math.abs(x[j]!) || 1e-3)));
    const [far, near, back, farBack] = [moved(2 * h), moved(h), moved(-h), moved(-2 * h)];
    for (let i = 0; i < rows; i++) {
      out[i * size + j] = (8 * (near[i]! - back[i]!) - (far[i]! - farBack[i]!)) / (12 * h);
    }
  }
  return out;
}
