import { planWriteUp, type PlanWriteUpOptions, type WriteUpLogs } from "./_plan_write_up.ts";
import type { LeakReport } from "./leak_report.ts";

/**
 * Tells what a write-up of these logs would publish and what it would hold back, without running a notebook and without
 * writing anything. A notebook of the person's own is looked at as it is; what it shows is known only once it has run.
 *
 * Throws as `makeWriteUp` does before it runs anything.
 */
export async function previewWriteUp(logs: WriteUpLogs, options: PlanWriteUpOptions): Promise<LeakReport> {
  return (await planWriteUp(logs, options)).report();
}
