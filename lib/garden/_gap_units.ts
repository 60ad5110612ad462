const ratios: readonly { readonly ratio: number; readonly words: string }[] = [
  { ratio: 10, words: "ten times the others, as millimetres would be" },
  { ratio: 2.54, words: "2.54 times smaller than the others, as inches would be" },
];

const close = (a: number, b: number): boolean => Math.abs(a - b) <= 0.02 * Math.max(a, b);

/**
 * Tells whether the gaps of one pair look as if two units were mixed: some block's gaps, three or more distinct ones, are each 10 times
 * (or a 2.54th of) a gap of other blocks and none of them is among the gaps as they stand. Returns words for it, or null.
 */
export function mixedGapUnits(gapsByBlock: ReadonlyMap<string, readonly number[]>): string | null {
  const blocks = [...gapsByBlock.keys()].sort();
  for (const { ratio, words } of ratios) {
    const odd = blocks.filter((block) => {
      const own = [...new Set(gapsByBlock.get(block)!.filter((gap) => gap > 0))];
      const others = blocks.filter((each) => each !== block).flatMap((each) => gapsByBlock.get(each)!);
      const factor = ratio === 10 ? 1 / ratio : ratio;
      const asOther = own.every((gap) => others.some((other) => close(gap * factor, other)));
      const asIs = own.some((gap) => others.some((other) => close(gap, other)));
      return own.length >= 3 && asOther && !asIs;
    });
    if (odd.length > 0) return `some blocks give gaps that are each ${words}`;
  }
  return null;
}
