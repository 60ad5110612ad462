import { type CardCounts, type FieldRule, type FieldRules, WORTHS } from "../decide/mod.ts";
import { wilsonInterval } from "../numbers/mod.ts";
import { escapeHtml } from "./_escape.ts";
import { cautionHtml, cautionsUnder, stopPanel } from "./field_stop_rules.ts";

/** What a card tells signals apart by, beside their spread: the reading, its step over the site's own iron, or both, one under the other. */
export const CARD_TABLES = ["reading", "step", "both"] as const;
export type CardTables = typeof CARD_TABLES[number];

/** Options of {@link fieldCard}. */
export interface FieldCardOptions {
  /** How many holes a good find is worth, each above 1: the person's own worth, or up to three to compare. Default 3, 5 and 10. */
  readonly worths?: readonly number[];
  /** Default "both". */
  readonly by?: CardTables;
}

function word(ferrous: number, good: number, worth: number): string {
  if (ferrous + good === 0) return "no case";
  const { low, high } = wilsonInterval(good, ferrous + good), paysFrom = 1 / worth;
  return low >= paysFrom ? "dig" : high < paysFrom ? "not worth a hole" : "could be either";
}

/** What a cell says in short, where worths differ. */
const SHORT: Readonly<Record<string, string>> = {
  dig: "dig",
  "could be either": "either",
  "not worth a hole": "no",
};

/** What a cell says: one word where it is the same at all worths, else the worths with a short word each. */
function wordsOf(ferrous: number, good: number, worths: readonly number[]): { kind: string; text: string } {
  const at = Map.groupBy(worths, (worth) => word(ferrous, good, worth));
  const [only] = at.keys();
  return at.size === 1 ? { kind: only!, text: only! } : {
    kind: "could be either",
    text: [...at].map(([says, those]) => `${those.join(", ")} ${SHORT[says]}`).join("; "),
  };
}

const spanOf = (breaks: readonly number[], k: number): string =>
  k === 0
    ? `under ${breaks[0] ?? ""}`
    : k === breaks.length
    ? `${breaks[k - 1]} and up`
    : `${breaks[k - 1]} to ${breaks[k]}`;

function gridHtml(counts: CardCounts, heading: string, worths: readonly number[]): string {
  const { readingBreaks, spreadBreaks, cells } = counts;
  const columns = [...spreadBreaks.map((_, k) => k), spreadBreaks.length];
  const head = columns.map((k) => `<th scope="col">spread ${spanOf(spreadBreaks, k)}</th>`).join("");
  const rows = cells.map((row, i) =>
    `<tr><th scope="row">${spanOf(readingBreaks, i)}</th>${
      row.map(({ ferrous, good }) => {
        const { kind, text } = wordsOf(ferrous, good, worths);
        return `<td class="${
          kind.replaceAll(" ", "-")
        }"><b>${text}</b><span>${good} good, ${ferrous} iron</span></td>`;
      }).join("")
    }</tr>`
  ).join("\n");
  return `<table><thead><tr><th scope="col">${heading}</th>${
    spreadBreaks.length === 0 ? '<th scope="col">any spread</th>' : head
  }<th scope="col">under 4 passes</th></tr></thead><tbody>
${rows}</tbody></table>`;
}

/** The tables that were asked for, or why one is not there. */
function tablesHtml(rule: FieldRule, ironBreak: number, by: CardTables, worths: readonly number[]): string {
  const none = (what: string): string =>
    `<p><b>Under 30 dug signals have ${what}: no table is printed.</b></p>`;
  const parts: string[] = [];
  if (by !== "step") {
    parts.push(
      rule.card === null ? none("a reading") : gridHtml(rule.card, "Middle of the passes", worths),
    );
  }
  if (by !== "reading") {
    parts.push(
      rule.stepCard === null
        ? none("a step over their site's iron")
        : `<p><b>By the step over the neighbouring iron</b>: the middle of the passes, less what reads as iron here: the middle one of three or more
signals under ${ironBreak} on this site.</p>${gridHtml(rule.stepCard, "Step over the iron", worths)}`,
    );
  }
  return parts.join("\n");
}

const CSS = `@page { margin: 9mm; }
* { box-sizing: border-box; }
body { margin: 0; background: #fff; color: #000; font: 9pt/1.26 ui-sans-serif, system-ui, "Segoe UI", "Noto Sans", "DejaVu Sans", sans-serif; }
main { max-width: 184mm; margin: 0 auto; }
article { break-after: page; }
article:last-child { break-after: auto; }
h1 { font-size: 14pt; line-height: 1.15; margin: 2mm 0 1mm; }
p { margin: 0 0 1.2mm; }
.stop { border: 1.4pt solid #000; padding: 1.4mm 3mm; }
.stop h2 { margin: 0 0 1mm; font-size: 12pt; }
.stop p { margin: 1mm 0 0; font-size: 8.2pt; }
.stop ul, .limits { margin: 0; padding-left: 4.5mm; font-size: 8.2pt; }
table { width: 100%; border-collapse: collapse; table-layout: fixed; margin: 1.5mm 0 2mm; }
th, td { border: 0.8pt solid #000; padding: 0.5mm 1.5mm 0.6mm; line-height: 1.15; text-align: left; vertical-align: top; }
td b, td span { display: block; }
td b { font-size: 10pt; }
.several td b { font-size: 8.4pt; }
.several thead th:first-child { width: 14%; }
td span { font-size: 8.4pt; }
td.dig { border-width: 2pt; }
td.not-worth-a-hole { background: #e3e3e3; }
td.no-case b { font-weight: 400; }
@media screen { main { padding: 5mm; } }
`;

function ruleHtml(rule: FieldRule, rules: FieldRules, worths: readonly number[], by: CardTables): string {
  const { machine, discrimination, settings, learntFrom, months, ground, moisture, version } = rule;
  const ironBreak = rules.machines.machines.find((each) => each.machine === machine)!.iron_break;
  const sets = rules.machines.settings.filter((set) => settings.includes(set.settings)).map((set) =>
    `${set.settings} (${
      set.coil === null
        ? "coil not stated"
        : `coil ${set.coil.length_cm} x ${set.coil.width_cm} cm, ${set.coil.winding}`
    })`
  );
  const words = (list: FieldRule["ground"]): string =>
    list.map(({ word, signals }) => `${word} ${signals}`).join(", ");
  const read = cautionsUnder("Read with care").map((caution) => `<li>${cautionHtml(caution)}</li>`).join("");
  return `<article${worths.length > 1 ? ' class="several"' : ""}>
${stopPanel({ care: true })}
<h1>${escapeHtml(machine)}, discrimination ${discrimination}</h1>
<p>Settings ${escapeHtml(sets.join("; ") || "not named")}. Ground: ${escapeHtml(words(ground))}. Moisture: ${
    escapeHtml(words(moisture))
  }.
${learntFrom.signals} dug signals at ${learntFrom.sites} sites: ${learntFrom.ferrous} ferrous, ${learntFrom.nonFerrous} non-ferrous, ${learntFrom.maskedGood} masked good${
    months === null ? "" : `; ${months.from} to ${months.to}`
  }. Rule ${version}.</p>
<p>${worthHtml(worths)} <b>Dig</b>: the whole 95 % interval of the share of good
holes lies at or above that. <b>Not worth a hole</b>: below it. <b>Could be either</b>: the counts cannot tell.</p>
${tablesHtml(rule, ironBreak, by, worths)}
<p><b>A fuzed shell can read as a masked good find. No cell of this table says that anything is safe to lift.</b></p>
<ul class="limits">${read}<li><strong>Limits.</strong> Holds for this machine, coil and these settings only. Bands were cut at even shares of this log; intervals take
holes as independent, which flatters where sites differ.</li></ul>
</article>`;
}

/** At which worths the cells answer. */
function worthHtml(worths: readonly number[]): string {
  if (worths.length === 1) {
    return `A good find is worth ${worths[0]} holes here, so a hole pays from 1 in ${worths[0]}.`;
  }
  const listed = `${worths.slice(0, -1).join(", ")} and ${worths.at(-1)}`;
  return `What a good find is worth to you is yours to say: cells answer for ${listed} holes, at which a hole pays from 1 in as many, and one answer holds for all: "5 no; 10 dig" is not worth a hole at 5, and dig at 10.`;
}

/**
 * Gives a card to print, a page a rule (A4 or Letter): stop rules on top, then what to do by reading and spread, and by the step over the
 * site's own iron and spread, with the count of each cell, and what it holds for.
 *
 * A cell says dig or not worth a hole only where Wilson's 95 % interval of its share of good holes lies wholly on one side of 1 / worth;
 * else it could be either. Without the person's own worth it says so at each of three. Steps and bands are whole steps of the machine's display. Throws RangeError for a worth of 1 or below, for another
 * word in `by`, and for a file without rules.
 *
 * @example
 * ```ts
 * import { fieldCard } from "./field_card.ts";
 * let message = "";
 * try {
 *   fieldCard({ schema: "overiron-field-rules/1", machines: { schema: "overiron-machines/1", machines: [], settings: [] }, rules: [], leftOut: [] });
 * } catch (error) { message = (error as Error).message; }
 * if (message !== "Cannot make a card: need 1 rule or more, got 0") throw new Error(message);
 * ```
 */
export function fieldCard(rules: FieldRules, options: FieldCardOptions = {}): string {
  const { worths = WORTHS, by = "both" } = options;
  const bad = worths.find((worth) => !(worth > 1 && worth < Infinity));
  if (bad !== undefined || worths.length === 0) {
    throw new RangeError(
      `Cannot make a card: a good find must be worth more than 1 hole, got ${bad ?? "no worth"}`,
    );
  }
  if (!CARD_TABLES.includes(by)) {
    throw new RangeError(`Cannot make a card: "by" must be ${CARD_TABLES.join(", ")}, got "${by}"`);
  }
  if (rules.rules.length === 0) throw new RangeError("Cannot make a card: need 1 rule or more, got 0");
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'">
<meta name="viewport" content="width=device-width, initial-scale=1">
<link rel="icon" href="data:,">
<title>Field card</title>
<style>
${CSS}</style>
</head>
<body>
<main>
${rules.rules.map((rule) => ruleHtml(rule, rules, worths, by)).join("\n")}
</main>
</body>
</html>
`;
}
