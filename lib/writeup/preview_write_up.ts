import { planWriteUp, type PlanWriteUpOptions, type WriteUpLogs } from "./_plan_write_up.ts";
import type { LeakReport } from "./leak_report.ts";

/**
 * Tells what a write-up of these logs would publish and what it would hold back, without running a notebook and without
 * writing anything. A notebook of the person's own is looked at as it is; what it shows is known only once it has run.
 *
 * Throws as `makeWriteUp` does before it runs anything.
 *
 * @example
 * ```ts
 * import { loadDigLog, parseMachines } from "overiron";
 * import { previewWriteUp } from "./preview_write_up.ts";
 * const machines = parseMachines(JSON.stringify({
 *   schema: "overiron-machines/1",
 *   machines: [{
 *     machine: "Machine A",
 *     scale: { low: 0, high: 600, step: 1 },
 *     iron_break: 150,
 *     tones: { name: "one", kind: "bands", breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] },
 *   }],
 * }));
 * const bytes = new TextEncoder().encode("signal_id,site,readings_right,readings_left,notes\n7,Top field,410,405,a note\n");
 * const digLog = await loadDigLog({ name: "log.csv", bytes }, machines);
 * const logs = { digLog, gardenLog: null, machines, inputs: [{ role: "dig-log", bytes }] };
 * const shown = { root: Deno.cwd(), seed: 1, title: "A season", command: "deno task season DIG-LOG" };
 * if (!(await previewWriteUp(logs, shown)).text.includes("notes: 1")) throw new Error("not counted");
 * ```
 */
export async function previewWriteUp(logs: WriteUpLogs, options: PlanWriteUpOptions): Promise<LeakReport> {
  return (await planWriteUp(logs, options)).report();
}
