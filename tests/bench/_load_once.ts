// Loads one dig log each time a line comes in, and prints what that took: milliseconds of the clock and of the processor.
// Once, at the start, it prints the most memory of a first load above the idle process.
import process from "node:process";
import { loadDigLog, loadGardenLog, parseMachines, parseMapping, readLogFile } from "../../lib/log/mod.ts";

/** How the log is loaded: "objects" makes every signal an object as well, "mapped" goes by a mapping, "garden" is a garden log. */
const [path, way = ""] = Deno.args;
const demo = new URL("../../datasets/demo/", import.meta.url);
const machines = parseMachines(Deno.readTextFileSync(new URL("machines.json", demo)));

/** The most memory that the process has held, in bytes; 0 where the system does not tell. */
function mostBytes(): number {
  try {
    return 1024 * Number(/VmHWM:\s+(\d+)/.exec(Deno.readTextFileSync("/proc/self/status"))?.[1] ?? 0);
  } catch {
    return 0;
  }
}

// A small log first, so that every module is loaded: the process is idle after it.
await loadDigLog({ name: "small.csv", bytes: Deno.readFileSync(new URL("dig-log.csv", demo)) }, machines);
const idleBytes = process.memoryUsage().rss;

/** Depths in inches and words for what was dug: each cell of two columns is converted, the others are copied. */
const columns = parseMapping(JSON.stringify({
  schema: "overiron-columns/1",
  columns: [
    { heading: "depth_cm", field: "depth_cm", unit: "in" },
    { heading: "dug", field: "dug", words: { yes: "yes", no: "no", stopped: "stopped" } },
  ],
}));

async function load() {
  const before = process.cpuUsage(), from = performance.now();
  const file = await readLogFile(path!);
  const loaded = way === "garden"
    ? await loadGardenLog(file, machines)
    : await loadDigLog(file, machines, way === "mapped" ? { columns } : {});
  const { report } = loaded;
  if (way === "objects" && "season" in loaded && loaded.season.signals.length === 0) {
    throw new Error("Cannot bench: no signals");
  }
  const milliseconds = performance.now() - from, { user, system } = process.cpuUsage(before);
  const { accepted, rejected } = report.accounts[0]!;
  return { milliseconds, busy: (user + system) / 1000, accepted, rejected };
}

const first = await load();
const most = mostBytes();
console.log(JSON.stringify({ ...first, peakBytes: most === 0 ? 0 : most - idleBytes }));
for await (const chunk of Deno.stdin.readable) {
  for (const byte of chunk) if (byte === 10) console.log(JSON.stringify(await load()));
}
