import { z } from "zod";
import { OUTCOME_RULE } from "./derive_outcome.ts";
import { type Field, FIELDS, OUTCOME_FIELDS, type TableName } from "./fields.ts";
import { columnMappingSchema } from "./mapping.ts";
import { MAPPING_EXAMPLE } from "./mapping_example.ts";
import { machinesFileSchema } from "./machines.ts";

const TITLES: Readonly<Record<TableName, readonly [title: string, about: string]>> = {
  outing: [
    "Outing",
    "One walk with one machine on one site. In a flat dig log these columns stand on each signal's row.",
  ],
  signal: ["Signal", "The row of a dig log: what was heard before the hole, and what is known after it."],
  find: [
    "Find",
    "One object out of a hole. In a flat dig log the first find has these columns as they are, the next ones with _2, _3 behind.",
  ],
  trial: [
    "Trial",
    "The row of a garden log: objects laid on purpose. A row without readings is planned. Trials without a target or without a neighbour are the controls.",
  ],
};

const PUBLISHED: Readonly<Record<Field["publish"], string>> = {
  kept: "as it is",
  coarsened: "coarser",
  renumbered: "as a number",
  "held back": "never",
};

const KINDS: Readonly<Record<Field["kind"], string>> = {
  id: "name",
  name: "name",
  text: "text",
  word: "word",
  "open-word": "word or text",
  number: "number",
  integer: "whole number",
  date: "YYYY-MM-DD",
  time: "HH:MM or YYYY-MM-DDTHH:MM",
  depth: "number or word",
  readings: "readings",
};

const limits = (field: Field): string =>
  field.kind === "number" || field.kind === "integer" || field.kind === "depth"
    ? field.low !== null && field.high !== null
      ? `, ${field.low} to ${field.high}`
      : field.low !== null
      ? `, from ${field.low}`
      : ""
    : "";

const table = (fields: readonly Field[]): string =>
  [
    "| field | kind | unit | known | need | published | meaning |",
    "|---|---|---|---|---|---|---|",
    ...fields.map((field) =>
      `| \`${field.name}\` | ${KINDS[field.kind]}${limits(field)} | ${field.unit ?? ""} | ${
        field.known === "na" ? "" : field.known
      } | ${field.need} | ${PUBLISHED[field.publish]} | ${field.meaning}${
        field.words.length > 0 ? ` Words: ${field.words.join(", ")}.` : ""
      } |`
    ),
  ].join("\n");

interface JsonNode {
  type?: string;
  meaning?: string;
  unit?: string | null;
  enum?: readonly string[];
  const?: string;
  minimum?: number;
  maximum?: number;
  properties?: Readonly<Record<string, JsonNode>>;
  items?: JsonNode;
  anyOf?: readonly JsonNode[];
}

function schemaRows(node: JsonNode, path: string): string[] {
  const inner = node.anyOf?.find((each) => each.type !== "null") ?? node;
  const meaning = node.meaning ?? inner.meaning;
  const unit = node.unit ?? inner.unit ?? "";
  const words = inner.enum === undefined ? "" : ` Words: ${inner.enum.join(", ")}.`;
  const own = path !== "" && meaning !== undefined ? [`| \`${path}\` | ${unit} | ${meaning}${words} |`] : [];
  const properties = inner.properties ?? inner.items?.properties;
  const mark = inner.items?.properties === undefined ? "" : "[]";
  const below = Object.entries(properties ?? {}).flatMap(([name, child]) =>
    schemaRows(child, path === "" ? name : `${path}${mark}.${name}`)
  );
  return [...own, ...below];
}

/**
 * Writes the data dictionary as Markdown: every field of every table with kind, unit, when it is known, whether it is
 * needed, what is published of it, and its meaning; the rules for readings cells and for outcomes; the machines file; the mapping file.
 *
 * It is made from the statements that also validate a log, so that it cannot lag behind them.
 *
 * @example
 * ```ts
 * import { dataDictionary } from "overiron";
 * if (!dataDictionary().includes("`iron_evidence`")) throw new Error("wrong");
 * ```
 */
export function dataDictionary(): string {
  const machines = z.toJSONSchema(machinesFileSchema, { io: "input" }) as JsonNode;
  const mapping = z.toJSONSchema(columnMappingSchema, { io: "input" }) as JsonNode;
  const tables = (Object.keys(TITLES) as TableName[]).map((name) =>
    `## ${TITLES[name][0]}\n\n${TITLES[name][1]}\n\n${table(FIELDS[name])}\n`
  );
  return `# Data dictionary

Made by \`dataDictionary()\` in \`lib/log/\` from the statements that check a log. Do not edit it by hand.

A log is CSV (RFC 4180): commas, UTF-8, a heading row. Headings are the field names; case does not matter, and spaces
stand for underscores. Columns with other headings are passed over and listed. An empty cell means "not logged", which
is never the same as "none". Numbers have a decimal point and no unit.

**The smallest dig log that works** has the columns \`signal_id\`, \`site\`, \`readings_right\` and \`readings_left\`, and
\`machine\` or \`settings\` where the machines file has several machines. One reading each way, or a low-usual-high, is
enough. \`both_ways\`, \`after_turn\`, \`depth_indicated\`, \`dug\`, \`metal\` (a magnet tells) and \`keep\` make it worth the
most. **The smallest garden log** has \`trial_id\`, \`target\`, \`neighbour\`, \`gap_cm\`, \`readings_right\` and
\`readings_left\`, and the machine likewise.

*Known* tells whether a fact is there before the hole is dug or only after: a model may use only what is known before.
*Published* tells what a write-up shows of it. Names of machines, settings sets, tone bands and test objects are shown
as they are written.

${tables.join("\n")}
## Outcome

Derived, never entered, from the facts above:

${OUTCOME_RULE.map((line, i) => `${i + 1}. ${line}`).join("\n")}

The repeat limit of a machine is 2.8 times the pooled standard deviation of its clean repeats, at least one step of its
scale. The clean repeats are finds read alone and check pieces; where those are too few, signals with no iron near;
where those are too few, all signals.

${table(OUTCOME_FIELDS)}

## Readings cells

| written | read as |
|---|---|
| \`38 40 41\`, \`38, 40, 41\`, \`38/40/41\` | three passes, in order (space, comma, semicolon, slash or bar between them) |
| \`38 x 40\`, \`. 40\` | \`x\` or \`.\` alone is a pass that gave no number |
| \`-5\` | the number below zero |
| \`38-42\`, \`38 - 42\`, \`38 to 42\`, \`-20--10\` | lowest and highest: a summary, not two passes (assumption listed) |
| \`38-40-44\` | lowest, usual and highest: a summary (assumption listed) |
| \`38 -42\` | two passes, the second negative (assumption listed); a fault where the scale has no negative numbers |
| \`38x3\`, \`38 x 3\` | three passes of 38 (assumption listed) |
| \`40 x 15\`; \`20 x 5\` on a scale in fives | first, silent, last: the last number cannot be a count (2 to 12), or is a reading that a scale with steps above 1 has (assumption listed) |
| \`40ish\`, \`~40\`, \`c. 40\`, \`40?\` | 40, marked as rough |
| \`38,5\` | two passes, 38 and 5 (assumption listed: a decimal comma would mean something else) |
| \`40\` beside \`passes\` 5 | 40 is the usual reading of five passes (assumption listed) |
| anything else | the row is rejected, with the rule |

Counts beside the cell (\`silent_right\`, \`passes_right\`) must agree with it, and decide first what an x means.
A reading outside the machine's scale rejects the row; one between two steps is flagged.

## Machines file

JSON with \`schema\` "overiron-machines/1". A reading equal to a break belongs to the upper band.

| entry | unit | meaning |
|---|---|---|
${schemaRows(machines, "").join("\n")}

## Mapping file

JSON with \`schema\` "overiron-columns/1": what the columns of a log with other headings mean. \`deno task match-columns LOG\`
proposes one and asks what it cannot know; \`season\`, \`check-log\`, \`merge-logs\`, \`fit-model\`, \`plan-garden\` and
\`take-home\` take it with \`--columns\`. All entries but \`schema\` may be left out; one that would have no effect is refused.
Headings that are a field's own name need no line. All that is converted is listed, with its first example, in the load
report.

| entry | unit | meaning |
|---|---|---|
${schemaRows(mapping, "").join("\n")}

This log

\`\`\`
${MAPPING_EXAMPLE.log}\`\`\`

loads with this mapping file: a brass buckle shown at 10.16 cm, whose third pass to the right gave no number; a nail with
foil in one hole, silent to the right; three passes of 300 in a signal that was left in the ground.

\`\`\`json
${MAPPING_EXAMPLE.mapping}\`\`\`
`;
}
