import * as Plot from "@observablehq/plot";
import { parseHTML } from "linkedom";

/** One entry of a drawing's legend: what it stands for, its colour, and the sign drawn. */
export interface LegendEntry {
  readonly label: string;
  readonly color: string;
  /** "dot", "square", "line" or "dash". Default "dot"; a frame is a hollow square. */
  readonly sign?: "dot" | "square" | "frame" | "line" | "dash";
}

/** What {@link renderPlot} needs beside the plot itself. */
export interface RenderPlotMeta {
  /** The figure's short name, a-z, 0-9 and hyphens: ids inside the drawing are made from it. */
  readonly name: string;
  /** What the drawing shows, for those who cannot see it. One or two sentences, with counts. */
  readonly alt: string;
  /** Drawn in a row above the plot. */
  readonly legend?: readonly LegendEntry[];
}

/** Colours of series: safe for colour-blind readers (Okabe and Ito 2008, Color Universal Design); the page may restyle them. */
export const seriesColors: readonly string[] = [
  "var(--series-1, #0072B2)",
  "var(--series-2, #D55E00)",
  "var(--series-3, #009E73)",
  "var(--series-4, #CC79A7)",
  "var(--series-5, #E69F00)",
  "var(--series-6, #56B4E9)",
  "var(--series-7, #666666)",
];

const fontSize = 15;
const rowHeight = 24;

/** Rounds the long decimals of a drawing to two places and never writes "-0". */
function roundDecimals(svg: string): string {
  return svg.replace(/-?\d+\.\d{3,}(?:e-?\d+)?/g, (long) => String(Number(Number(long).toFixed(2)) + 0));
}

const escapeXml = (text: string): string => text.replace(/[&<>"]/g, (sign) => `&#${sign.charCodeAt(0)};`);

function legendSvg(entries: readonly LegendEntry[], width: number): { svg: string; height: number } {
  let x = 8, y = 16;
  const parts: string[] = [];
  for (const { label, color, sign = "dot" } of entries) {
    const wide = 34 + label.length * fontSize * 0.62;
    if (x + wide > width && x > 8) {
      x = 8;
      y += rowHeight;
    }
    const shapes = {
      dot: `<circle cx="${x + 8}" cy="${y - 5}" r="5" fill="${color}"/>`,
      square: `<rect x="${x + 2}" y="${y - 11}" width="12" height="12" fill="${color}"/>`,
      frame: `<rect x="${x + 2.5}" y="${y - 10.5}" width="11" height="11" fill="none" stroke="${color}"/>`,
      line: `<line x1="${x}" x2="${x + 18}" y1="${y - 5}" y2="${y - 5}" stroke="${color}" stroke-width="3"/>`,
      dash: `<line x1="${x}" x2="${x + 18}" y1="${y - 5}" y2="${
        y - 5
      }" stroke="${color}" stroke-width="3" stroke-dasharray="5 3"/>`,
    };
    parts.push(`${shapes[sign]}<text x="${x + 24}" y="${y}" fill="currentColor">${escapeXml(label)}</text>`);
    x += wide;
  }
  return { svg: `<g text-anchor="start">${parts.join("")}</g>`, height: entries.length > 0 ? y + 10 : 0 };
}

/**
 * Draws a plot to an SVG string that is the same byte for byte each time: numbers with two decimals, ids from the
 * figure's name, no style sheet of its own, `role="img"` and the alternative text on its root.
 *
 * Defaults: 640 wide, 15 px type. Throws RangeError when the plot warns, or when it comes with a title, a caption or a
 * legend of its own (those belong to the page and to `legend`).
 */
export function renderPlot(options: Plot.PlotOptions, meta: RenderPlotMeta): string {
  const { name, alt, legend = [] } = meta;
  if (!/^[a-z0-9-]+$/.test(name)) {
    throw new RangeError(`Cannot draw: name must be a-z, 0-9 and -, got "${name}"`);
  }
  if (alt.trim() === "") throw new RangeError(`Cannot draw "${name}": it needs an alternative text`);
  const { document } = parseHTML("<!doctype html><html><body></body></html>");
  const width = options.width ?? 640;
  const root = Plot.plot({
    marginTop: 32,
    marginRight: 24,
    marginBottom: 50,
    marginLeft: 58,
    ...options,
    width,
    document: document as unknown as Document,
    className: "oi",
    style: {
      fontSize: `${fontSize}px`,
      fontFamily: "system-ui, sans-serif",
      background: "none",
      overflow: "visible",
    },
  });
  if (root.tagName.toLowerCase() !== "svg") {
    throw new RangeError(`Cannot draw "${name}": leave title, caption and legend to the page`);
  }
  const height = Number(root.getAttribute("height"));
  for (const style of root.querySelectorAll("style")) style.remove();
  for (const element of root.querySelectorAll("[aria-label]")) element.removeAttribute("aria-label");
  if (/\u26a0/.test(root.textContent ?? "")) {
    throw new RangeError(`Cannot draw "${name}": the plot gives a warning`);
  }
  const renamed = new Map<string, string>();
  let inner = root.innerHTML.replace(/\bid="([^"]+)"/g, (_, id: string) => {
    renamed.set(id, `${name}-${renamed.size + 1}`);
    return `id="${renamed.get(id)}"`;
  });
  for (const [from, to] of renamed) inner = inner.replaceAll(`url(#${from})`, `url(#${to})`);
  const key = legendSvg(legend, width);
  const body = key.height > 0 ? `${key.svg}<g transform="translate(0,${key.height})">${inner}</g>` : inner;
  const full = height + key.height;
  return roundDecimals(
    `<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" role="img" aria-label="${
      escapeXml(alt)
    }" width="${width}" height="${full}" viewBox="0 0 ${width} ${full}" fill="currentColor" font-family="system-ui, sans-serif" font-size="${fontSize}" text-anchor="middle" style="--plot-background: var(--paper, white)">${
      body.replace(/class="oi"/g, "")
    }</svg>`,
  );
}
