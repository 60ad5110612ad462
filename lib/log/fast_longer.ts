type Numbers =
  | Float64Array<ArrayBuffer>
  | Int32Array<ArrayBuffer>
  | Uint32Array<ArrayBuffer>
  | Uint8Array<ArrayBuffer>;

/** A copy of an array with twice the room, or the room that is needed where that is more. */
export function longer<A extends Numbers>(array: A, needed = 0): A {
  const room = Math.max(array.length * 2, needed);
  const out = new (array.constructor as new (length: number) => A)(room);
  out.set(array);
  return out;
}
