import { z } from "zod";
import { WORDS } from "../log/words.ts";
import { machinesFileSchema } from "../log/machines.ts";
import { modelFileSchema } from "../model/classifier.ts";

const count = z.number().int().min(0);
const month = z.string().regex(/^\d{4}-\d{2}$/);
const counted = z.array(z.strictObject({ word: z.string(), signals: count }));

/** Dug signals counted by a number of the signal and by its spread. */
const cardCounts = z.strictObject({
  /** Where each band of that number begins, but the first; reading units. */
  readingBreaks: z.array(z.number()),
  spreadBreaks: z.array(z.number()),
  /** By band, then by spread (the last: too few passes for a spread): ferrous and others. */
  cells: z.array(z.array(z.strictObject({ ferrous: count, good: count }))),
});

/** The counts of a card, as a rule carries them. */
export type CardCounts = Readonly<z.output<typeof cardCounts>>;

/** The zod statement of one field rule: a model, and all that says where it may be asked. */
export const fieldRuleSchema = z.strictObject({
  /** Told by the rule's own numbers: another rule has another version. */
  version: z.string().regex(/^r[0-9a-f]{10}$/),
  machine: z.string().min(1),
  discrimination: z.enum(WORDS.discrimination),
  /** The names of the settings sets learnt from; null stands for signals that named none. */
  settings: z.array(z.string().nullable()).min(1),
  engine: z.string().min(1),
  model: modelFileSchema,
  /** Standard deviation of one pass, reading units; null where the log does not tell it. */
  repeatNoise: z.number().min(0).nullable(),
  learntFrom: z.strictObject({
    signals: count,
    ferrous: count,
    nonFerrous: count,
    maskedGood: count,
    sites: count,
  }),
  /** "two": the log cannot carry masked goods as a class of their own, and the set says "something good". */
  classes: z.enum(["three", "two"]),
  /** Sets that miss what comes in at most this share of cases; a threshold a class, null where its cases are too few. */
  sets: z.strictObject({ miss: z.number().gt(0).lt(1), thresholds: z.array(z.number().nullable()) }),
  /** The lowest and the highest centre learnt from, reading units. */
  centres: z.strictObject({ low: z.number(), high: z.number() }).nullable(),
  months: z.strictObject({ from: month, to: month }).nullable(),
  ground: counted,
  moisture: counted,
  /** Dug signals by reading and spread, for a card; null where too few have a reading. */
  card: cardCounts.nullable(),
  /** The same by the step of the reading over the site's own iron; null where too few have one. */
  stepCard: cardCounts.nullable().default(null),
}).refine(({ classes, sets }) => sets.thresholds.length === (classes === "three" ? 3 : 2), {
  message: "A rule has one threshold a class",
});

/** A rule that can be taken to the field. */
export type FieldRule = Readonly<z.output<typeof fieldRuleSchema>>;

/** The zod statement of a file of field rules: the rules, and the machines and settings that they are for. */
export const fieldRulesSchema = z.strictObject({
  schema: z.literal("overiron-field-rules/1"),
  machines: machinesFileSchema,
  rules: z.array(fieldRuleSchema),
  leftOut: z.array(z.strictObject({ machine: z.string(), discrimination: z.string(), reason: z.string() })),
});

/** What a file of field rules holds. */
export type FieldRules = Readonly<z.output<typeof fieldRulesSchema>>;

/**
 * Reads a file of field rules.
 *
 * Throws SyntaxError, in words for the person who named the file, for text that is not JSON (a file cut in half), for another kind of
 * file, for another version, and for any part that is missing or out of place.
 *
 * @example
 * ```ts
 * import { parseFieldRules } from "overiron";
 * let message = "";
 * try { parseFieldRules('{"schema": "overiron-field-rules/9"}'); } catch (error) { message = (error as Error).message; }
 * if (!message.includes("another version")) throw new Error(message);
 * ```
 */
export function parseFieldRules(text: string, file = "model file"): FieldRules {
  const refuse = (rule: string): never => {
    throw new SyntaxError(`Cannot use ${file}: ${rule}. \`deno task fit-model\` makes one from your log`);
  };
  let value: unknown;
  try {
    value = JSON.parse(text.charCodeAt(0) === 0xfeff ? text.slice(1) : text);
  } catch {
    return refuse("it must be a file of field rules, got text that is not JSON, or was cut off");
  }
  const schema = (value as { schema?: unknown } | null)?.schema;
  if (typeof schema === "string" && /^overiron-model\//.test(schema)) {
    return refuse("a bare model does not say which machine, coil and settings it holds for");
  }
  if (typeof schema === "string" && /^overiron-field-rules\//.test(schema) && !schema.endsWith("/1")) {
    return refuse(`it must be of version 1, got another version (${schema})`);
  }
  if (schema !== "overiron-field-rules/1") {
    return refuse("it must be a file of field rules, got another kind");
  }
  const result = fieldRulesSchema.safeParse(value);
  if (result.success) return result.data;
  const issue = result.error.issues[0]!;
  return refuse(`a part of it is wrong (${issue.path.map(String).join(".") || "top"}: ${issue.message})`);
}
