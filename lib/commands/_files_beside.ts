// Where files go that were not named. It imports nothing: what a task may write is worked out from it before anything is installed.

/** Where the card of a file of field rules lies: beside it. */
export const cardBeside = (path: string): string => `${path.replace(/\.json$/i, "")}-card.md`;

/** Where a log with an export joined to it goes: beside it. */
export const joinedBeside = (log: string): string => log.replace(/(\.[^./]*)?$/, "-joined.csv");

/** Whether a notebook was named by its path, and not by its bare name. */
export const isNotebookPath = (named: string): boolean => /[/\\]|\.ipynb$/.test(named);
