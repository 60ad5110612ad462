import type { GardenPlan, PlannedTrial } from "../garden/mod.ts";
import { escapeHtml } from "./_escape.ts";
import { stopPanel } from "./field_stop_rules.ts";
import { PAGE_POLICY } from "./render_page.ts";

export interface GardenSheetOptions {
  /** Default "A test garden to lay". */
  readonly title?: string;
}

const style = `
body{font:11pt/1.4 Georgia,serif;color:#000;background:#fff;max-width:19cm;margin:1cm auto;padding:0 .5cm}
h1{font-size:20pt;margin:0 0 .3cm}h2{font-size:14pt;margin:.7cm 0 .2cm;break-after:avoid}
table{border-collapse:collapse;width:100%;font-size:10pt;margin:.2cm 0}
th,td{border:1px solid #555;padding:.12cm .16cm;text-align:left;vertical-align:top}
th{background:#eee}tr{break-inside:avoid}td.box{height:.85cm;min-width:4.2cm}
.block{break-inside:auto}.panel{border:2px solid #000;padding:.2cm .4cm;margin:.3cm 0}
.panel h2,.panel h3{margin-top:.1cm}.sheet{break-before:page}ul.ticks{list-style:none;padding:0;columns:2}
ul.ticks li::before{content:"\\2610\\00a0"}svg{max-width:100%;height:auto}
@media print{body{margin:0}@page{margin:1.2cm}}`;

const cm = (text: string): string => `${text} cm`;

/** What to put down, in words a helper can follow. */
function layWords(trial: PlannedTrial): string {
  const { target, neighbour: name, gap_cm: gap, side, neighbour_tilt_deg: tilt = "0" } = trial;
  const neighbour = tilt === "" || tilt === "0" ? name : `${name} (tilted ${tilt} degrees)`;
  if (name === "none") return `${target} alone`;
  if (target === "none") return `${neighbour} alone`;
  return `${target} and ${neighbour}, ${
    gap === "0" ? "touching" : `${cm(gap!)} from edge to edge`
  }, ${name} on the ${side}`;
}

function blockTable(trials: readonly PlannedTrial[], show: "all" | "lay" | "read"): string {
  const heads = [
    "Order",
    "Trial",
    ...(show === "read" ? [] : ["Lay"]),
    ...(show === "lay" ? ["Done"] : ["Coil going right", "Coil going left"]),
  ];
  const rows = trials.map((trial) =>
    `<tr><td>${trial.run_order}</td><td>${escapeHtml(trial.trial_id!)}</td>${
      show === "read" ? "" : `<td>${escapeHtml(layWords(trial))}</td>`
    }${show === "lay" ? '<td class="tick">\u2610</td>' : '<td class="box"></td><td class="box"></td>'}</tr>`
  );
  return `<table><thead><tr>${
    heads.map((head) => `<th scope="col">${head}</th>`).join("")
  }</tr></thead><tbody>${rows.join("")}</tbody></table>`;
}

function blocksOf(plan: GardenPlan): readonly (readonly PlannedTrial[])[] {
  const names = [...new Set(plan.trials.map((trial) => trial.block!))];
  return names.map((name) => plan.trials.filter((trial) => trial.block === name));
}

function runSheet(plan: GardenPlan, show: "all" | "lay" | "read"): string {
  return blocksOf(plan).map((trials) =>
    `<section class="block"><h2>Block ${escapeHtml(trials[0]!.block!)} at ${
      escapeHtml(trials[0]!.spot!)
    }</h2><p>Date ____________ Ground ____________ Started ________ Ended ________</p>${
      blockTable(trials, show)
    }</section>`
  ).join("\n");
}

/** The pegs in a row, with their distance: what is on the ground and must come up again. */
function map(plan: GardenPlan): string {
  const step = 150, width = 80 + step * (plan.spots.length - 1) + 80;
  const pegs = plan.spots.map(({ spot, alongCm }, i) => {
    const x = 80 + i * step;
    return `<circle cx="${x}" cy="60" r="9" fill="none" stroke="#000" stroke-width="2"/><text x="${x}" y="98">${
      escapeHtml(spot)
    }</text><text x="${x}" y="116">${alongCm} cm</text><text x="${x}" y="35">\u2610</text>`;
  });
  const line = `<line x1="80" x2="${width - 80}" y1="60" y2="60" stroke="#000" stroke-dasharray="4 4"/>`;
  return `<svg role="img" aria-label="${plan.spots.length} pegs in a row, ${plan.spacingCm} cm apart" viewBox="0 0 ${width} 130" width="${width}" font-size="14" text-anchor="middle">${line}${
    pegs.join("")
  }</svg>`;
}

/**
 * Makes the printable sheet of a planned garden: what ground to take, how to build it, the run list with boxes to write in, and the map of what to lift at the end.
 *
 * Blind plans give two lists: one for the helper who lays, one for whoever reads, without what lies there. Self-contained HTML without script; all text is escaped.
 *
 * @example
 * ```ts
 * import { planGarden } from "overiron";
 * import { gardenSheet } from "./garden_sheet.ts";
 * const plan = planGarden({
 *   targets: [{ name: "disc & ring", sizeMm: 24 }],
 *   neighbours: [{ name: "nail", kind: "nail", lengthMm: 60, thicknessMm: 5 }],
 *   settings: "A-open",
 *   gardens: 2,
 * });
 * if (!gardenSheet(plan).includes("disc &#38; ring")) throw new Error("not escaped");
 * ```
 */
export function gardenSheet(plan: GardenPlan, options: GardenSheetOptions = {}): string {
  const { title = "A test garden to lay" } = options;
  const hours = (plan.minutes / 60).toFixed(1);
  const onSurface = plan.depthCm === 0;
  const sizes = plan.sizes.map((size) =>
    `<tr><td>${size.blocks}</td><td>${size.trials}</td><td>${(size.minutes / 60).toFixed(1)}</td><td>${
      size.widthCm === null ? "cannot tell yet" : cm(size.widthCm.toFixed(1))
    }</td></tr>`
  ).join("");
  const lists = plan.blind
    ? `<div class="sheet"><h1>For the helper who lays</h1><p>Keep this list from whoever reads. Say "ready" and the trial's number, no more.</p>${
      runSheet(plan, "lay")
    }</div><div class="sheet"><h1>For whoever reads</h1><p>Turn away while the helper lays.</p>${
      runSheet(plan, "read")
    }</div>`
    : `<div class="sheet"><h1>Run list</h1>${runSheet(plan, "all")}</div>`;
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${escapeHtml(PAGE_POLICY)}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${escapeHtml(title)}</title>
<style>${style}</style>
</head>
<body>
<h1>${escapeHtml(title)}</h1>
<p>${plan.trials.length} trials in ${plan.blocks} blocks of ${plan.trialsPerBlock}, about ${hours} hours. ${
    escapeHtml(plan.reason)
  }.</p>
<div class="panel">${stopPanel({ level: 2, brief: true })}</div>
<h2>The ground</h2>
<ul>
<li>Your own ground, or the owner's word for it. Never historic ground, a meadow that was never ploughed, or anything protected.</li>
<li>Away from buried cables and pipes, fences, cars, power lines and other machines. Ask before you drive a peg.</li>
<li>Sweep it first, in two directions, and clear it of every signal. What cannot be cleared is not a garden.</li>
</ul>
<h2>Building it</h2>
<ul>
<li>${plan.spots.length} pegs of wood or plastic in a row, ${plan.spacingCm} cm apart: two coil widths, so that no spot hears another.</li>
<li>A string from peg to peg marks the line of the sweep; a mark at each peg is the target's middle.</li>
<li>${
    onSurface
      ? `Objects lie on the surface. A spacer of wood or foam, ${
        cm(String(plan.coilHeightCm))
      } thick, keeps the coil at one height.`
      : `The target's middle lies ${cm(String(plan.depthCm))} deep; a spacer of ${
        cm(String(plan.coilHeightCm))
      } keeps the coil at one height over the ground.`
  }</li>
<li>Modern objects without value only, measured with a calliper. Nails flat unless the list says otherwise, across the sweep, all the same way round.</li>
<li>The gap is the clear distance between nearest edges, along the ground. Measure it with a slip of card cut to size.</li>
<li>Same settings throughout; balance once a block. Take off rings, watch and tools.</li>
</ul>
<h2>A trial</h2>
<ol>
<li>Lay what the list says, remove all else to five coil widths away.</li>
<li>Five passes with the coil going right and five going left, at your usual speed. Write every number in order; a pass without a number is an x. Never leave one out, never choose.</li>
<li>Go on to the next of the list. The order was drawn by chance, and it matters.</li>
</ol>
<h2>What to expect</h2>
<table><thead><tr><th scope="col">Blocks</th><th scope="col">Trials</th><th scope="col">Hours</th><th scope="col">Width of the half gap's 95 % interval</th></tr></thead><tbody>${sizes}</tbody></table>
<p>From simulated gardens of this shape. Real ground scatters in its own way; four blocks are the least from which any interval is given.</p>
${lists}
<div class="sheet"><h1>Lifting it</h1><p>Tick each thing as it comes up, then sweep the whole strip once more.</p>
${map(plan)}
<ul class="ticks">${plan.lift.map((each) => `<li>${escapeHtml(each)}</li>`).join("")}</ul>
<p>Lifted by ____________________ on ____________ Last sweep silent: \u2610</p></div>
</body>
</html>
`;
}
