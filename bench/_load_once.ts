// Loads one dig log several times and prints what it took: milliseconds, and the most memory of the first load above the idle process.
import process from "node:process";
import { loadDigLog, parseMachines, readLogFile } from "../lib/log/mod.ts";

const [path, repeats = "1", objects = ""] = Deno.args;
const machines = parseMachines(
  Deno.readTextFileSync(new URL("../datasets/demo/machines.json", import.meta.url)),
);
/** A line of /proc/self/status in bytes; 0 where there is none. */
const status = (name: string): number => {
  try {
    return 1024 *
      Number(new RegExp(`${name}:\\s+(\\d+)`).exec(Deno.readTextFileSync("/proc/self/status"))?.[1] ?? 0);
  } catch {
    return 0;
  }
};
// A small log first, so that every module is loaded: the process is idle after it.
await loadDigLog(
  { name: "small.csv", bytes: Deno.readFileSync(new URL("../datasets/demo/dig-log.csv", import.meta.url)) },
  machines,
);
const idleBytes = process.memoryUsage().rss;
const milliseconds: number[] = [], withObjects: number[] = [];
let peakBytes = 0, account = null;
for (let i = 0; i < Number(repeats); i++) {
  const start = performance.now();
  const { season, report } = await loadDigLog(await readLogFile(path!), machines);
  milliseconds.push(performance.now() - start);
  if (i === 0) peakBytes = status("VmHWM") - idleBytes;
  if (objects !== "") {
    if (season.signals.length === 0) throw new Error("no signals");
    withObjects.push(performance.now() - start);
  }
  account = report.accounts[0];
}
console.log(JSON.stringify({ milliseconds, withObjects, peakBytes, account }));
