import { csvText, type Field, FIELDS, type TableName } from "../log/mod.ts";
import { escapeHtml } from "./_escape.ts";
import { cautionHtml, cautionsUnder, stopPanel } from "./field_stop_rules.ts";
import { sharedText } from "./_shared_text.ts";

/** The sizes of paper that sheets are made for. */
export const PAPERS = { a4: "A4", letter: "Letter" } as const;
export type Paper = keyof typeof PAPERS;

/** The columns of the smallest log that works: what README and the loader ask for, and what makes an outcome. */
export const SMALLEST_COLUMNS: readonly string[] = [
  "signal_id",
  "site",
  "settings",
  "readings_right",
  "readings_left",
  "both_ways",
  "after_turn",
  "depth_indicated",
  "dug",
  "result",
  "metal",
  "keep",
];

/** One column of the sheet of signals: its heading, the words to ring, its share of the width. */
interface SheetColumn {
  readonly field: string;
  readonly heading: string;
  readonly ring?: readonly string[];
  readonly wide: number;
  readonly after?: boolean;
}

const BEFORE: readonly SheetColumn[] = [
  { field: "signal_id", heading: "No", wide: 9 },
  { field: "readings_right", heading: "Going right", wide: 27 },
  { field: "readings_left", heading: "Going left", wide: 27 },
  { field: "readings_cross", heading: "After a quarter turn", wide: 23 },
  { field: "both_ways", heading: "Both ways", ring: ["yes", "no"], wide: 12 },
  { field: "after_turn", heading: "Quarter turn", ring: ["holds", "changes", "gone"], wide: 16 },
  { field: "iron_near", heading: "Iron near", ring: ["none", "some", "full"], wide: 12 },
  { field: "depth_indicated", heading: "Depth shown", ring: ["shallow", "middle", "deep"], wide: 15 },
  { field: "my_call", heading: "My call", ring: ["good", "iron", "cannot say"], wide: 17 },
];
const AFTER: readonly SheetColumn[] = [
  { field: "dug", heading: "Dug", ring: ["yes", "no", "stopped"], wide: 15, after: true },
  { field: "what", heading: "What came out (0 for nothing), or why stopped", wide: 32, after: true },
  { field: "metal", heading: "Magnet holds", ring: ["yes", "no", "both"], wide: 11, after: true },
  { field: "keep", heading: "Keep", ring: ["yes", "no", "hazard"], wide: 14, after: true },
  {
    field: "iron_evidence",
    heading: "Iron about it",
    ring: ["touching", "plug", "hole", "none"],
    wide: 17,
    after: true,
  },
  { field: "readings_alone", heading: "Find read alone", wide: 19, after: true },
  { field: "after_dig", heading: "Hole quiet", ring: ["yes", "no"], wide: 10, after: true },
];

const GATE: readonly { readonly label: string; readonly hint: string; readonly wide?: boolean }[] = [
  { label: "Date", hint: "year-month-day" },
  { label: "Site code", hint: "your own code; never published" },
  { label: "Settings set", hint: "as in your machines file" },
  { label: "Coil", hint: "length x width, or its name" },
  { label: "Ground", hint: "sand, loam, clay, chalk..." },
  { label: "Moisture", hint: "dry, damp, wet, waterlogged" },
  { label: "Ground balance", hint: "the number shown" },
  { label: "Coil height", hint: "centimetres over the ground" },
  { label: "Check piece, start", hint: "readings of the same piece, same height", wide: true },
  { label: "Check piece, end", hint: "the same piece again before you leave", wide: true },
  { label: "Holes dug", hint: "count them" },
  { label: "Holes filled", hint: "as many; a hazard's stays as it is" },
  { label: "Notes", hint: "weather, crop, who else was there", wide: true },
];

const smallest = (field: string): boolean => SMALLEST_COLUMNS.includes(field);

/** A mark that needs no colour: sheets are copied in black. */
const heading = ({ field, heading: text }: SheetColumn): string =>
  `${escapeHtml(text)}${smallest(field) ? ` <b class="needed">&#9679;</b>` : ""}`;

function signalsPage(rows: number): string {
  const columns = [...BEFORE, ...AFTER];
  const total = columns.reduce((sum, { wide }) => sum + wide, 0);
  const cols = columns.map(({ wide }) => `<col style="width:${(100 * wide / total).toFixed(2)}%">`).join("");
  const head = columns.map((column) =>
    `<th scope="col"${column.after ? ' class="after"' : ""}>${heading(column)}</th>`
  ).join("");
  const cells = columns.map(({ ring, after, field }) =>
    `<td class="box${after ? " after" : ""}" data-field="${field}">${
      ring === undefined ? "" : ring.map((word) => `<span>${word}</span>`).join("")
    }</td>`
  ).join("");
  return `<section class="page signals">
<div class="line"><h2>Signals</h2><p>Site code and date <i class="rule"></i> Sheet <i class="rule short"></i></p>
<p class="key">Readings: each pass a number, <b>x</b> for a pass without one; or lowest-usual-highest: 22-38-41. Ring one word; leave a box empty where
you did not look. <b class="needed">&#9679;</b> = the smallest log that works. Grey headings: after the hole.</p></div>
<table><colgroup>${cols}</colgroup><thead><tr>${head}</tr></thead><tbody>
${`<tr>${cells}</tr>\n`.repeat(rows)}</tbody></table>
<p class="foot"><strong>Stop: big, heavy, finned, cylindrical, wired, shell-like: do not lift. Leave, mark, call.</strong> A fuzed shell can read
like a masked good find. Straight line: a service, ask first. Bones, several good things together, an undisturbed layer: stop, report. Thunder,
livestock: go home. Sharp, toxic: gloves.</p>
</section>`;
}

function gatePage(): string {
  const boxes = GATE.map(({ label, hint, wide }) =>
    `<div class="field${
      wide ? " wide" : ""
    }"><div class="label"><b>${label}</b> <span>${hint}</span></div><div class="box"></div></div>`
  ).join("\n");
  const care = cautionsUnder("Dig with care").map((caution) => `<li>${cautionHtml(caution)}</li>`).join("\n");
  return `<section class="page gate">
<h1>Outing</h1>
${stopPanel()}
<div class="fields">${boxes}</div>
<div class="care"><ul>${care}</ul></div>
</section>`;
}

const CSS = (paper: Paper): string =>
  `@page { size: ${PAPERS[paper]} landscape; margin: 9mm; }
:root { --w: ${paper === "a4" ? 279 : 261.4}mm; --h: ${paper === "a4" ? 192 : 197.9}mm; }
* { box-sizing: border-box; }
body { margin: 0; background: #fff; color: #000; font: 9pt/1.3 ui-sans-serif, system-ui, "Segoe UI", "Noto Sans", "DejaVu Sans", sans-serif; }
.page { width: var(--w); height: var(--h); margin: 0 auto; overflow: hidden; break-after: page; display: flex; flex-direction: column; }
.page:last-child { break-after: auto; }
h1, h2 { margin: 0; font-size: 15pt; line-height: 1.2; }
.stop { border: 1.2pt solid #000; padding: 2mm 3.5mm; margin: 2mm 0 3mm; }
.stop h2 { font-size: 11.5pt; margin-bottom: 1mm; }
.stop ul { margin: 0; padding-left: 4.5mm; font-size: 8.4pt; }
.care ul { margin: 0; padding-left: 4.5mm; columns: 3; font-size: 8pt; column-gap: 8mm; }
.care li { break-inside: avoid; }
.fields { flex: 1; display: grid; grid-template-columns: repeat(4, 1fr); grid-auto-rows: 1fr; gap: 3mm 5mm; margin-bottom: 3mm; min-height: 0; }
.field { display: flex; flex-direction: column; min-height: 0; min-width: 0; }
.field.wide { grid-column: span 2; }
.field .label { font-size: 8.6pt; line-height: 1.2; padding-bottom: 0.5mm; }
.field .label span { color: #444; font-size: 7.6pt; }
.field .box { flex: 1; min-height: 11mm; border: 0.8pt solid #000; }
.line { display: flex; gap: 6mm; align-items: baseline; margin-bottom: 1.5mm; }
.line p { margin: 0; white-space: nowrap; }
.line .key { white-space: normal; font-size: 7.4pt; line-height: 1.25; }
.rule { display: inline-block; width: 46mm; border-bottom: 0.8pt solid #000; height: 7mm; vertical-align: baseline; }
.rule.short { width: 12mm; }
table { width: 100%; border-collapse: collapse; table-layout: fixed; }
th { height: 10mm; padding: 0 0.8mm 0.8mm; text-align: left; vertical-align: bottom; font-size: 7.4pt; line-height: 1.15; font-weight: 600; }
th.after { background: #e6e6e6; }
.needed { font-size: 7pt; }
td { height: 13.2mm; padding: 0.4mm 0.8mm; border: 0.8pt solid #000; vertical-align: middle; font-size: 7.2pt; line-height: 1.2; }
td span { display: block; white-space: nowrap; }
td[data-field="dug"] { border-left: 2pt solid #000; }
.foot { margin: auto 0 0; font-size: 7.8pt; }
@media screen { body { background: #777; } .page { background: #fff; margin: 4mm auto; padding: 0; outline: 9mm solid #fff; margin-block: 12mm 24mm; } }
`;

/** Options of {@link fieldSheets}. */
export interface FieldSheetsOptions {
  /** Default "a4". */
  readonly paper?: Paper;
  /** Sheets of signals after the sheet of the outing. Default 3. */
  readonly sheets?: number;
}

/**
 * Gives printable sheets for a pencil: the outing's gate on the first page, stop rules above it, then sheets of one line a signal.
 *
 * One HTML page without script, landscape, in the size of the paper; every box to write in is 8 mm high or more. What the smallest
 * log that works needs is marked with a dot. Throws RangeError for a number of sheets that is not 1 to 50.
 *
 * @example
 * ```ts
 * import { fieldSheets } from "./field_sheets.ts";
 * const html = fieldSheets({ paper: "letter", sheets: 1 });
 * if (!html.includes("size: Letter landscape") || html.includes("<script")) throw new Error("wrong");
 * ```
 */
export function fieldSheets(options: FieldSheetsOptions = {}): string {
  const { paper = "a4", sheets = 3 } = options;
  if (!Number.isInteger(sheets) || sheets < 1 || sheets > 50) {
    throw new RangeError(`Cannot make sheets: their number must be 1 to 50, got ${sheets}`);
  }
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'">
<meta name="viewport" content="width=device-width, initial-scale=1">
<link rel="icon" href="data:,">
<title>Field sheets, ${PAPERS[paper]}</title>
<style>
${CSS(paper)}</style>
</head>
<body>
<main>
${[gatePage(), ...Array.from({ length: sheets }, () => signalsPage(11))].join("\n")}
</main>
</body>
</html>
`;
}

const namesOf = (table: TableName): string[] => FIELDS[table].map((field: Field) => field.name);

/**
 * Gives the empty logs by file name: exactly the columns of the schema, in its order, and nothing below them.
 *
 * `signals.csv`, `outings.csv` and `finds.csv` make a dig log together; `trials.csv` is a garden log; `smallest-log.csv` is the smallest dig
 * log that works, flat. `which-is-which.txt` says so.
 *
 * @example
 * ```ts
 * import { emptyLogs } from "./field_sheets.ts";
 * if (!emptyLogs().get("smallest-log.csv")!.startsWith("signal_id,site,settings,readings_right")) throw new Error("wrong");
 * ```
 */
export function emptyLogs(): ReadonlyMap<string, string> {
  const words = sharedText("field-logs.txt");
  return new Map([
    ["outings.csv", csvText([namesOf("outing")])],
    ["signals.csv", csvText([namesOf("signal")])],
    ["finds.csv", csvText([namesOf("find")])],
    ["trials.csv", csvText([namesOf("trial")])],
    ["smallest-log.csv", csvText([SMALLEST_COLUMNS])],
    ["which-is-which.txt", words],
  ]);
}
