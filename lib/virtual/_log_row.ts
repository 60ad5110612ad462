/** A row of a log as text: cells by field name. An absent cell is empty. */
export type LogRow = Readonly<Record<string, string>>;

/** Passes as a readings cell: numbers in order, x where nothing was heard. */
export const readingsCell = (passes: readonly (number | null)[]): string =>
  passes.map((pass) => pass === null ? "x" : String(pass)).join(" ");
