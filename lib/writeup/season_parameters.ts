import { z } from "zod";

/** The zod statement of what a person may set for the notebooks of a season. */
export const seasonParametersSchema = z.strictObject({
  /** Share of each outcome that its sets of what a signal could be should hold. */
  level: z.number().gt(0).lt(1).optional(),
  /** How many holes a good find is worth to the person: one, or several to compare. */
  worths: z.array(z.number().gt(1)).min(1).max(3).readonly().optional(),
});

/** What a person may set for the notebooks of a season. */
export type SeasonParameters = Readonly<z.output<typeof seasonParametersSchema>>;
