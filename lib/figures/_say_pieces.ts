import { say, type Shown, type Stated } from "./show.ts";

/** Says a sentence put together from pieces, where how many there are is not known beforehand. */
export function sayPieces(pieces: readonly (Stated | string)[]): Shown {
  const blanks = Array.from({ length: pieces.length + 1 }, () => "");
  return say(Object.assign(blanks, { raw: blanks }), ...pieces);
}
