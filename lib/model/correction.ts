import { z } from "zod";

/** The zod statement of a rising curve: straight between its corners, flat outside them. */
export const risingCurveSchema = z.strictObject({
  /** Places of the corners, rising. */
  at: z.array(z.number()).min(1),
  /** The curve there, never falling. */
  share: z.array(z.number().min(0).max(1)).min(1),
}).refine(
  ({ at, share }) =>
    at.length === share.length && at.every((each, i) => i === 0 || each > at[i - 1]!) &&
    share.every((each, i) => i === 0 || each >= share[i - 1]!),
  {
    message: "A rising curve needs one share a place, places rising and shares never falling",
  },
);

/** A rising curve. */
export type RisingCurve = Readonly<z.output<typeof risingCurveSchema>>;

/** 2: only the chance of ferrous against all goods is corrected, and the goods are shared out as before. */
const classes = z.union([z.literal(2), z.literal(3)]);

/** The zod statement of what corrects an engine's chances, as a saved model carries it. Another kind of correction gets another version. */
export const correctionSchema = z.union([
  z.strictObject({
    version: z.literal(1),
    method: z.literal("temperature"),
    classes,
    /** Above 1 the chances were too sure, below 1 too shy. */
    temperature: z.number().positive(),
  }),
  z.strictObject({
    version: z.literal(1),
    method: z.literal("isotonic"),
    classes,
    /** Signals that the curves were fitted to: the floor goes by it. */
    learntFrom: z.number().int().positive(),
    /** One a class: chance given, share that came. */
    curves: z.array(risingCurveSchema).min(2).max(3),
  }).refine(({ classes, curves }) => curves.length === classes, {
    message: "A correction needs one curve a class",
  }),
]);

/** What corrects an engine's chances. */
export type Correction = Readonly<z.output<typeof correctionSchema>>;
