/** The three numbers that matter most, in order, with the words the page heads them with. */
export const headlineIds: readonly { readonly id: string; readonly label: string }[] = [
  { id: "season.holesPerGoodFind", label: "Holes for each good find" },
  { id: "garden.halfGapCm", label: "Gap at which a neighbour drags a reading half way" },
  { id: "tones.maskedAboveBreak", label: "Masked goods that still sound above the iron break" },
];
