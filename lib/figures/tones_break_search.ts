import * as Plot from "@observablehq/plot";
import type { BetterBreaks } from "../tones/mod.ts";
import { renderPlot, seriesColors } from "./_svg.ts";

/**
 * Draws what one tone break would cost at every step of the scale, in iron holes a signal, with the machine's own lowest
 * break and the cheapest marked.
 *
 * The costs are those of the signals the break is chosen on, so the cheapest place flatters itself. Throws RangeError where
 * no break could be searched for.
 *
 * @example
 * ```ts
 * import { tonesBreakSearch } from "overiron";
 * const singleBreak = [{ at: 0, cost: 2 }, { at: 5, cost: 1 }, { at: 10, cost: 3 }];
 * const svg = tonesBreakSearch({ of: { machine: "Machine A" }, singleBreak, ownBreaks: [10] }, { name: "search" });
 * if (!svg.includes("cheapest: 5")) throw new Error("not marked");
 * ```
 */
export function tonesBreakSearch(
  found: Pick<BetterBreaks, "of" | "singleBreak" | "ownBreaks">,
  options: { /** Short name, a-z, 0-9 and hyphens. */ readonly name: string },
): string {
  const { name } = options;
  const { singleBreak, ownBreaks } = found;
  if (singleBreak.length < 2) throw new RangeError(`Cannot draw "${name}": no break could be searched for`);
  const least = Math.min(...singleBreak.map(({ cost }) => cost));
  // Of a level floor, its middle: any of its steps is as cheap.
  const floor = singleBreak.filter(({ cost }) => cost === least);
  const cheapest = floor[Math.floor((floor.length - 1) / 2)]!;
  const own = ownBreaks.length > 0 ? singleBreak.find(({ at }) => at >= ownBreaks[0]!) : undefined;
  const marks = [
    { ...cheapest, label: `cheapest: ${cheapest.at}`, color: seriesColors[1]!, dy: 10 },
    ...own ? [{ ...own, label: `own: ${own.at}`, color: seriesColors[0]!, dy: 32 }] : [],
  ];
  const [low, high] = [singleBreak[0]!.at, singleBreak.at(-1)!.at];
  const most = Math.max(...singleBreak.map(({ cost }) => cost));
  // Beside its line, on the side with more room, one below the other.
  const anchor = (at: number) => at - low > (high - low) / 2 ? "end" : "start";
  return renderPlot({
    height: 300,
    marginLeft: 56,
    marginTop: 34,
    marginBottom: 50,
    marginRight: 24,
    x: {
      domain: [low, high],
      label: "break (reading units) →",
      labelAnchor: "center",
      labelOffset: 44,
      ticks: 7,
    },
    y: {
      domain: [0, most * 1.05],
      label: "cost a signal (iron holes)",
      labelAnchor: "top",
      ticks: 5,
      grid: true,
    },
    marks: [
      Plot.lineY(singleBreak, {
        x: "at",
        y: "cost",
        curve: "step-after",
        stroke: "currentColor",
        strokeWidth: 2,
      }),
      Plot.ruleX(marks, {
        x: "at",
        stroke: (mark: { color: string }) => mark.color,
        strokeWidth: 2,
        strokeDasharray: "5 3",
      }),
      Plot.dot(marks, { x: "at", y: "cost", r: 6, fill: (mark: { color: string }) => mark.color }),
      ...marks.map((mark) =>
        Plot.text([mark], {
          x: "at",
          text: "label",
          frameAnchor: "top",
          dy: mark.dy,
          dx: anchor(mark.at) === "start" ? 8 : -8,
          textAnchor: anchor(mark.at),
          fontWeight: 600,
          fill: "currentColor",
        })
      ),
      Plot.ruleY([0], { stroke: "currentColor" }),
    ],
  }, {
    name,
    alt:
      `Cost of a single tone break on ${
        found.of.machine ?? "the machine"
      } at each step from ${low} to ${high}: cheapest at ` +
      `${cheapest.at}${own ? `, the machine's own lowest break at ${own.at}` : ""}.`,
  });
}
