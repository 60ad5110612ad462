import { folded, show, type Shown } from "./show.ts";

/** A piece with the line under which it is folded when it is not the first. */
export interface FoldablePiece {
  readonly label: string;
  readonly shown: Shown;
}

/**
 * Shows the first piece and folds each of the others away under its label: for the same table or drawing of several machines, where
 * the first is the one most readers came for.
 *
 * @example
 * ```ts
 * import { inSightFirst, say } from "overiron";
 * const { html } = inSightFirst([{ label: "A", shown: say`One.` }, { label: "B", shown: say`Two.` }]);
 * if (html.match(/<details/g)?.length !== 1) throw new Error(html);
 * ```
 */
export function inSightFirst(pieces: readonly FoldablePiece[]): Shown {
  return show(...pieces.map(({ label, shown }, i) => i === 0 ? shown : folded(label, shown)));
}
