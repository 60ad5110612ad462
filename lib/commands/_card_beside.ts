/** Where the card of a file of field rules lies: beside it. It imports nothing, since permissions are worked out from it. */
export const cardBeside = (path: string): string => `${path.replace(/\.json$/i, "")}-card.md`;
