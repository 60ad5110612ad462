import type { Estimate } from "../numbers/mod.ts";
import { nothing, Output } from "./_output.ts";
import { escapeHtml, formatEstimate, type StatedForm } from "./_text.ts";
import { resultIds } from "./result_ids.ts";

export { type PackedPredictions, recordedMediaType, unpackPredictions } from "./_output.ts";

/** What a result is about: machine, target, neighbour, outcome and so on, each a short text. */
export type ResultOf = Readonly<Record<string, string>>;

/** A number as `results.json` holds it, before the runner adds the notebook. */
export type RecordedResult =
  & { readonly id: string; readonly of?: ResultOf; readonly unit: string }
  & Estimate;

/** A table of counts as `results.json` holds it, before the runner adds the notebook. */
export interface RecordedTable {
  readonly id: string;
  readonly of?: ResultOf;
  readonly rows: readonly string[];
  readonly columns: readonly string[];
  readonly counts: readonly (readonly number[])[];
  readonly n: number;
}

/** One out-of-fold prediction: the line of `predictions.csv`. */
export interface RecordedPrediction {
  readonly signal: string;
  readonly outcome: string;
  readonly fold: string;
  readonly model: string;
  readonly ferrous: number;
  readonly nonFerrous: number;
  readonly maskedGood: number;
}

/** What a piece of a notebook's output records beside what it shows. */
export interface Recorded {
  readonly results: readonly RecordedResult[];
  readonly tables: readonly RecordedTable[];
  readonly predictions: readonly RecordedPrediction[];
}

/** Something a cell shows: HTML for the reader, plain text for a terminal, and the numbers it records. */
export interface Shown {
  readonly html: string;
  readonly text: string;
  readonly recorded: Recorded;
}

/** A number ready to be put into a sentence or a table cell. */
export interface Stated {
  readonly result: RecordedResult;
  readonly words: string;
}

/** Options of {@link stated}. */
export interface StatedOptions {
  /** "value", "interval" or "full" (value, interval and counts). Default "full". */
  readonly form?: StatedForm;
  /** Decimals shown. Default: two significant digits of the interval's width. */
  readonly decimals?: number;
}

function join(parts: readonly Recorded[]): Recorded {
  return {
    results: parts.flatMap((part) => part.results),
    tables: parts.flatMap((part) => part.tables),
    predictions: parts.flatMap((part) => part.predictions),
  };
}

/**
 * Prepares an estimate to be shown in a sentence or a table: the number the reader sees is the number that is recorded.
 *
 * `id` must stand in {@link resultIds}; its unit is shown. A share (0..1) is shown as per cent. `of` says what the
 * number is about; leave it empty for the whole log. Throws RangeError for an id that is not listed.
 *
 * @example
 * ```ts
 * import { counted, stated } from "overiron";
 * const signals = stated("season.signals", {}, counted(450, { signals: 450 }));
 * if (signals.words !== "450") throw new Error(signals.words);
 * ```
 */
export function stated(id: string, of: ResultOf, estimate: Estimate, options: StatedOptions = {}): Stated {
  const { form = "full", decimals } = options;
  const known = resultIds[id];
  if (!known) {
    throw new RangeError(`Cannot state a number: its id must stand in result_ids.ts, got "${id}"`);
  }
  const about = Object.keys(of).length > 0 ? { of } : {};
  return {
    result: { id, ...about, unit: known.unit, ...estimate },
    words: formatEstimate(estimate, known.unit, form, decimals),
  };
}

function markOf(item: Stated): string {
  const { result } = item;
  const of = Object.entries(result.of ?? {}).sort(([a], [b]) => a < b ? -1 : 1)
    .map(([key, value]) => `${key}: ${value}`).join(", ");
  const title = `${result.id}${of ? ` (${of})` : ""}`;
  const value = "value" in result ? String(result.value) : "";
  return `<data class="stated" value="${value}" title="${escapeHtml(title)}">${
    escapeHtml(item.words)
  }</data>`;
}

const emphasise = (html: string): string => html.replace(/\*\*([^*]+)\*\*/g, "<strong>$1</strong>");

/**
 * Writes sentences in which every number is recorded: `` say`The half gap is ${halfGap}.` ``
 *
 * Values are {@link Stated} numbers or text; text is escaped, `**bold**` is bold, an empty line starts a paragraph.
 * Throws TypeError for a bare number: state it, so that `results.json` holds it too.
 *
 * @example
 * ```ts
 * import { counted, say, stated } from "overiron";
 * const shown = say`The log holds ${stated("season.signals", {}, counted(3, { signals: 3 }))} signals.`;
 * if (shown.text !== "The log holds 3 signals.") throw new Error(shown.text);
 * ```
 */
export function say(strings: TemplateStringsArray, ...values: readonly (Stated | string)[]): Shown {
  const results: RecordedResult[] = [];
  let html = "", text = "";
  strings.forEach((string, i) => {
    html += escapeHtml(string);
    text += string;
    if (i >= values.length) return;
    const value: unknown = values[i];
    if (typeof value === "string") {
      html += escapeHtml(value);
      text += value;
    } else if (typeof value === "object" && value !== null && "words" in value) {
      const item = value as Stated;
      results.push(item.result);
      html += markOf(item);
      text += item.words;
    } else {
      throw new TypeError(
        `Cannot say a bare ${typeof value}: use stated(id, of, estimate), got ${String(value)}`,
      );
    }
  });
  const paragraphs = html.split(/\n\s*\n/).map((part) => part.trim()).filter((part) => part.length > 0);
  const body = paragraphs.map((part) => `<p class="said">${emphasise(part)}</p>`).join("\n");
  return new Output(body, text.trim(), { ...nothing, results });
}

/** What {@link figure} takes. */
export interface FigureParts {
  /** Short name, letters, digits and hyphens; the anchor in the page. */
  readonly id: string;
  /** The drawing, as an exported figure function returns it. */
  readonly svg: string;
  /** What the reader should see, in a sentence or two, with units and counts. */
  readonly caption: string | Shown;
  /** The numbers of the figure, folded under it. Optional. */
  readonly table?: Shown;
}

const captionHtml = (caption: string | Shown): string =>
  typeof caption === "string" ? emphasise(escapeHtml(caption)) : caption.html.replace(/<\/?p[^>]*>/g, "");

const captionText = (caption: string | Shown): string => typeof caption === "string" ? caption : caption.text;

/**
 * Shows a drawing with its caption and, folded under it, the table of its numbers.
 *
 * Throws RangeError when the id is not a plain name, the caption is empty, or the drawing has no `aria-label`.
 *
 * @example
 * ```ts
 * import { figure } from "overiron";
 * const shown = figure({ id: "empty", svg: '<svg role="img" aria-label="Nothing"></svg>', caption: "Nothing yet." });
 * if (!shown.html.includes('id="fig-empty"')) throw new Error(shown.html);
 * ```
 */
export function figure(parts: FigureParts): Shown {
  const { id, svg, caption, table } = parts;
  if (!/^[a-z0-9-]+$/.test(id)) {
    throw new RangeError(`Cannot show figure: id must be a-z, 0-9 and -, got "${id}"`);
  }
  if (captionText(caption).trim() === "") {
    throw new RangeError(`Cannot show figure "${id}": it needs a caption`);
  }
  const alt = /aria-label="([^"]+)"/.exec(svg)?.[1];
  if (!alt) throw new RangeError(`Cannot show figure "${id}": the drawing needs an aria-label`);
  const numbers = table
    ? `\n<details class="figure-numbers"><summary>Numbers of this figure</summary>${
      unfolded(table.html)
    }</details>`
    : "";
  const drawing =
    `<div class="figure-scroll" tabindex="0" role="region" aria-label="Figure ${id}, drawing">${svg}</div>`;
  const html = `<figure id="fig-${id}">${drawing}\n<figcaption>${
    captionHtml(caption)
  }</figcaption>${numbers}</figure>`;
  const recorded = join([
    typeof caption === "string" ? nothing : caption.recorded,
    table?.recorded ?? nothing,
  ]);
  return new Output(html, `[Figure: ${captionText(caption)}]`, recorded);
}

/** What {@link table} takes. Every row has as many cells as there are columns; the first cell of a row heads it. */
export interface TableParts {
  readonly caption: string | Shown;
  readonly columns: readonly string[];
  readonly rows: readonly (readonly (Stated | string)[])[];
}

/**
 * Shows a table of text and stated numbers; the numbers are recorded. A long table (over eight rows) is folded under its
 * caption. Throws RangeError for a ragged row.
 *
 * @example
 * ```ts
 * import { counted, stated, table } from "overiron";
 * const n = stated("season.signals", {}, counted(3, { signals: 3 }));
 * const shown = table({ caption: "The season", columns: ["What", "Count"], rows: [["Signals", n]] });
 * if (shown.recorded.results.length !== 1) throw new Error("not recorded");
 * ```
 */
export function table(parts: TableParts): Shown {
  const results: RecordedResult[] = [];
  const cell = (item: Stated | string): string => {
    if (typeof item === "string") return escapeHtml(item);
    results.push(item.result);
    return markOf(item);
  };
  const rows = parts.rows.map((row, i) => {
    if (row.length !== parts.columns.length) {
      throw new RangeError(
        `Cannot show table: row ${i + 1} needs ${parts.columns.length} cells, got ${row.length}`,
      );
    }
    return `<tr>${
      row.map((item, j) => j === 0 ? `<th scope="row">${cell(item)}</th>` : `<td>${cell(item)}</td>`).join("")
    }</tr>`;
  });
  const own = { ...nothing, results };
  return tableOutput(parts.caption, parts.columns, rows, own, parts.rows.map((row) => row.map(wordsOf)));
}

const wordsOf = (item: Stated | string): string => typeof item === "string" ? item : item.words;

/** A table with more rows than this is folded under its caption: few readers want it, and the page stays readable. */
const mostRowsInSight = 8;

const foldedTable = (whole: string, summary: string): string =>
  `<details class="folded table"><summary>${summary}</summary>${whole}</details>`;

/** Takes the fold off tables that stand in a fold already. */
const unfolded = (html: string): string =>
  html.replace(
    /<details class="folded table"><summary>[^<]*<\/summary>([\s\S]*?<\/table><\/div>)<\/details>/g,
    "$1",
  );

function tableOutput(
  caption: string | Shown,
  columns: readonly string[],
  rows: readonly string[],
  own: Recorded,
  cells: readonly (readonly string[])[],
): Shown {
  const head = `<tr>${columns.map((name) => `<th scope="col">${escapeHtml(name)}</th>`).join("")}</tr>`;
  const label = escapeHtml(captionText(caption));
  const whole = `<div class="table-scroll" tabindex="0" role="region" aria-label="${label}">` +
    `<table><caption>${captionHtml(caption)}</caption><thead>${head}</thead><tbody>${
      rows.join("")
    }</tbody></table></div>`;
  const html = rows.length > mostRowsInSight ? foldedTable(whole, `${label}: ${rows.length} rows`) : whole;
  const text = [captionText(caption), columns.join(" | "), ...cells.map((row) => row.join(" | "))].join("\n");
  const recorded = typeof caption === "string" ? own : join([caption.recorded, own]);
  return new Output(html, text, recorded);
}

/** What {@link tally} takes: counts by row and column, `unit` the thing counted ("signals", "trials"). */
export interface TallyParts {
  readonly id: string;
  readonly of?: ResultOf;
  readonly unit: string;
  readonly caption: string | Shown;
  readonly rowTitle: string;
  readonly rows: readonly string[];
  readonly columns: readonly string[];
  readonly counts: readonly (readonly number[])[];
}

/**
 * Shows a table of counts with its row totals, and records it under `tables` in `results.json`.
 *
 * Throws RangeError for an unlisted id, a ragged table, or a count that is not a whole number of 0 or above.
 *
 * @example
 * ```ts
 * import { tally } from "overiron";
 * const shown = tally({ id: "season.signals", unit: "signals", caption: "By call", rowTitle: "Call",
 *   rows: ["good", "iron"], columns: ["dug", "passed"], counts: [[3, 1], [2, 9]] });
 * if (shown.recorded.tables[0]!.n !== 15) throw new Error("wrong total");
 * ```
 */
export function tally(parts: TallyParts): Shown {
  const { id, of, unit, rows, columns, counts } = parts;
  if (!resultIds[id]) throw new RangeError(`Cannot tally: the id must stand in result_ids.ts, got "${id}"`);
  if (counts.length !== rows.length || counts.some((row) => row.length !== columns.length)) {
    throw new RangeError(`Cannot tally "${id}": need ${rows.length} x ${columns.length} counts`);
  }
  const bad = counts.flat().find((count) => !Number.isSafeInteger(count) || count < 0);
  if (bad !== undefined) {
    throw new RangeError(`Cannot tally "${id}": counts are whole numbers of 0 or above, got ${bad}`);
  }
  const n = counts.flat().reduce((sum, count) => sum + count, 0);
  const recorded: RecordedTable = {
    id,
    of: { ...of, unit },
    rows: [...rows],
    columns: [...columns],
    counts: counts.map((row) => [...row]),
    n,
  };
  const lines = counts.map((
    row,
    i,
  ) => [rows[i]!, ...row.map(String), String(row.reduce((a, b) => a + b, 0))]);
  const html = lines.map((line) =>
    `<tr>${
      line.map((item, j) => j === 0 ? `<th scope="row">${escapeHtml(item)}</th>` : `<td>${item}</td>`).join(
        "",
      )
    }</tr>`
  );
  const heads = [parts.rowTitle, ...columns, `all ${unit}`];
  return tableOutput(parts.caption, heads, html, { ...nothing, tables: [recorded] }, lines);
}

/**
 * Hands out-of-fold predictions to the write-up, which keeps them as `predictions.csv`. Throws RangeError unless the three
 * probabilities of each row add up to 1 within 1e-9.
 *
 * @example
 * ```ts
 * import { predictions } from "overiron";
 * const shown = predictions([{ signal: "s0001", outcome: "ferrous", fold: "1", model: "base rates", ferrous: 0.8, nonFerrous: 0.15, maskedGood: 0.05 }]);
 * if (shown.recorded.predictions.length !== 1) throw new Error("not recorded");
 * ```
 */
export function predictions(rows: readonly RecordedPrediction[]): Shown {
  for (const row of rows) {
    const sum = row.ferrous + row.nonFerrous + row.maskedGood;
    if (!(Math.abs(sum - 1) < 1e-9)) {
      throw new RangeError(
        `Cannot record prediction of ${row.signal} by ${row.model}: probabilities must add up to 1, got ${sum}`,
      );
    }
  }
  const text = "The predictions behind these tables are in predictions.csv.";
  return new Output(`<p class="said">${text}</p>`, text, { ...nothing, predictions: rows });
}

/**
 * Folds a piece away under a line that opens it: for tables that few readers need. What it records is recorded all the same.
 *
 * Throws RangeError for an empty summary.
 *
 * @example
 * ```ts
 * import { folded, say } from "overiron";
 * if (!folded("More", say`Text.`).html.startsWith("<details")) throw new Error("wrong");
 * ```
 */
export function folded(summary: string, shown: Shown): Shown {
  if (summary.trim() === "") throw new RangeError("Cannot fold: it needs a summary");
  const html = `<details class="folded"><summary>${escapeHtml(summary)}</summary>${
    unfolded(shown.html)
  }</details>`;
  return new Output(html, `[${summary}]\n${shown.text}`, shown.recorded);
}

/**
 * Shows several pieces as the one output of a cell.
 *
 * @example
 * ```ts
 * import { say, show } from "overiron";
 * if (show(say`One.`, say`Two.`).text !== "One.\n\nTwo.") throw new Error("wrong");
 * ```
 */
export function show(...items: readonly Shown[]): Shown {
  return new Output(
    items.map((item) => item.html).join("\n"),
    items.map((item) => item.text).join("\n\n"),
    join(items.map((item) => item.recorded)),
  );
}
