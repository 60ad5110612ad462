import type { FieldRule, FieldRules } from "../decide/mod.ts";
import { wilsonInterval } from "../numbers/mod.ts";
import { escapeHtml } from "./_escape.ts";
import { cautionsUnder, stopPanel } from "./field_stop_rules.ts";

/** Options of {@link fieldCard}. */
export interface FieldCardOptions {
  /** How many holes a good find is worth, above 1. Default 5. */
  readonly holesWorth?: number;
}

function word(ferrous: number, good: number, paysFrom: number): string {
  if (ferrous + good === 0) return "no case";
  const { low, high } = wilsonInterval(good, ferrous + good);
  return low >= paysFrom ? "dig" : high < paysFrom ? "not worth a hole" : "could be either";
}

const spanOf = (breaks: readonly number[], k: number): string =>
  k === 0
    ? `under ${breaks[0] ?? ""}`
    : k === breaks.length
    ? `${breaks[k - 1]} and up`
    : `${breaks[k - 1]} to ${breaks[k]}`;

function gridHtml(card: NonNullable<FieldRule["card"]>, paysFrom: number): string {
  const { readingBreaks, spreadBreaks, cells } = card;
  const columns = [...spreadBreaks.map((_, k) => k), spreadBreaks.length];
  const head = columns.map((k) => `<th scope="col">spread ${spanOf(spreadBreaks, k)}</th>`).join("");
  const rows = cells.map((row, i) =>
    `<tr><th scope="row">${spanOf(readingBreaks, i)}</th>${
      row.map(({ ferrous, good }) => {
        const says = word(ferrous, good, paysFrom);
        return `<td class="${
          says.replaceAll(" ", "-")
        }"><b>${says}</b><span>${good} good, ${ferrous} iron</span></td>`;
      }).join("")
    }</tr>`
  ).join("\n");
  return `<table><thead><tr><th scope="col">Middle of the passes</th>${
    spreadBreaks.length === 0 ? '<th scope="col">any spread</th>' : head
  }<th scope="col">under 4 passes</th></tr></thead><tbody>
${rows}</tbody></table>`;
}

const CSS = `@page { margin: 11mm; }
* { box-sizing: border-box; }
body { margin: 0; background: #fff; color: #000; font: 9.5pt/1.32 ui-sans-serif, system-ui, "Segoe UI", "Noto Sans", "DejaVu Sans", sans-serif; }
main { max-width: 184mm; margin: 0 auto; }
article { break-after: page; }
article:last-child { break-after: auto; }
h1 { font-size: 15pt; margin: 3mm 0 1mm; }
p { margin: 0 0 2mm; }
.stop { border: 1.4pt solid #000; padding: 2mm 3.5mm; }
.stop h2 { margin: 0 0 1mm; font-size: 12pt; }
.stop ul, .limits { margin: 0; padding-left: 4.5mm; font-size: 8.6pt; }
table { width: 100%; border-collapse: collapse; margin: 2mm 0 3mm; }
th, td { border: 0.8pt solid #000; padding: 1.4mm 1.8mm; text-align: left; vertical-align: top; }
td b, td span { display: block; }
td span { font-size: 8pt; }
td.dig { border-width: 2pt; }
td.not-worth-a-hole { background: #e3e3e3; }
td.no-case b { font-weight: 400; }
@media screen { main { padding: 5mm; } }
`;

function ruleHtml(rule: FieldRule, rules: FieldRules, holesWorth: number): string {
  const { machine, discrimination, settings, learntFrom, months, ground, moisture, card, version } = rule;
  const sets = rules.machines.settings.filter((set) => settings.includes(set.settings)).map((set) =>
    `${set.settings} (${
      set.coil === null
        ? "coil not stated"
        : `coil ${set.coil.length_cm} x ${set.coil.width_cm} cm, ${set.coil.winding}`
    })`
  );
  const words = (list: FieldRule["ground"]): string =>
    list.map(({ word, signals }) => `${word} ${signals}`).join(", ");
  const read = cautionsUnder("Read with care").map(({ lead, text }) =>
    `<li><strong>${escapeHtml(lead)}.</strong> ${escapeHtml(text)}</li>`
  ).join("");
  return `<article>
${stopPanel()}
<h1>${escapeHtml(machine)}, discrimination ${discrimination}</h1>
<p>Settings ${escapeHtml(sets.join("; ") || "not named")}. Ground: ${escapeHtml(words(ground))}. Moisture: ${
    escapeHtml(words(moisture))
  }.
${learntFrom.signals} dug signals at ${learntFrom.sites} sites: ${learntFrom.ferrous} ferrous, ${learntFrom.nonFerrous} non-ferrous, ${learntFrom.maskedGood} masked good${
    months === null ? "" : `; ${months.from} to ${months.to}`
  }. Rule ${version}.</p>
<p>A good find is worth ${holesWorth} holes here, so a hole pays from 1 in ${holesWorth}. <b>Dig</b>: the whole 95 % interval of the share of good
holes lies at or above that. <b>Not worth a hole</b>: below it. <b>Could be either</b>: the counts cannot tell.</p>
${
    card === null
      ? "<p><b>Under 30 dug signals have a reading: no table is printed.</b></p>"
      : gridHtml(card, 1 / holesWorth)
  }
<p><b>A fuzed shell can read as a masked good find. No cell of this table says that anything is safe to lift.</b></p>
<ul class="limits">${read}<li><strong>Limits.</strong> Holds for this machine, coil and these settings only. Bands were cut at even shares of this log; intervals take
holes as independent, which flatters where sites differ.</li></ul>
</article>`;
}

/**
 * Gives a card to print, a page a rule: stop rules on top, then what to do by reading and spread, with the count of each cell, and what it
 * holds for.
 *
 * A cell says dig or not worth a hole only where Wilson's 95 % interval of its share of good holes lies wholly on one side of 1 / `holesWorth`;
 * else it could be either. Throws RangeError for a worth of 1 or below and for a file without rules.
 */
export function fieldCard(rules: FieldRules, options: FieldCardOptions = {}): string {
  const { holesWorth = 5 } = options;
  if (!(holesWorth > 1 && holesWorth < Infinity)) {
    throw new RangeError(`Cannot make a card: a good find must be worth more than 1 hole, got ${holesWorth}`);
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
${rules.rules.map((rule) => ruleHtml(rule, rules, holesWorth)).join("\n")}
</main>
</body>
</html>
`;
}
