// A dig log loaded and checked in full beside pandas.read_csv, bare, in the same run; then how time and memory grow with it.
// Ask for a ratio of 1 or less at 100,000 signals, clean and with 1 % of faulty rows, the same time a row up to a million,
// and less than 6 times the file in memory.
// Each side is a process of its own, warm, and they load by turns, so that a busy computer slows both: every ratio is of
// two loads made one after the other, and the middle one of them counts.
import { median } from "simple-statistics";
import { largeLog } from "./_large_log.ts";
import { type Load, type OnDemand, onDemand } from "./_on_demand.ts";

const here = (name: string): string => new URL(name, import.meta.url).pathname;
const own = async (path: string, ...more: readonly string[]): Promise<OnDemand> => {
  const args = ["run", "-A", "--no-lock", here("_load_once.ts"), path, ...more];
  const started = await onDemand(Deno.execPath(), args);
  if (started === null) throw new Error("Cannot bench: the load failed");
  return started;
};
const pandas = async (path: string): Promise<OnDemand | null> => {
  const args = [here("load_pandas.py"), path];
  return await onDemand("/usr/bin/python3", args) ?? await onDemand("python3", args);
};

const TURNS = 11, MOST_RATIO = 1, MOST_MEMORY = 6;
const whole = (value: number): string => value.toFixed(0);
const hundredths = (value: number): string => value.toFixed(2);
const middle = (values: readonly number[]): number => median([...values]);
const met = (good: boolean): string => good ? "met" : "NOT MET";

/** Middle of the ratios of two loads made one after the other, with their range. */
function ratio(ours: readonly Load[], theirs: readonly Load[], of: "milliseconds" | "busy") {
  const ratios = ours.map((load, i) => load[of] / theirs[i]![of]).sort((a, b) => a - b);
  const value = middle(ratios);
  return {
    value,
    text: `${hundredths(value)} (${hundredths(ratios[0]!)} to ${
      hundredths(ratios.at(-1)!)
    }, ${ratios.length} pairs)`,
  };
}

async function beside(name: string, path: string): Promise<void> {
  const ours = await own(path), objects = await own(path, "objects"), theirs = await pandas(path);
  const loads = { ours: [] as Load[], objects: [] as Load[], theirs: [] as Load[] };
  // One more load of each to warm up, then turns, each side first in every other one.
  for (const each of [ours, objects, theirs]) await each?.again();
  for (let turn = 0; turn < TURNS; turn++) {
    if (turn % 2 === 0) loads.ours.push(await ours.again());
    if (theirs !== null) loads.theirs.push(await theirs.again());
    if (turn % 2 === 1) loads.ours.push(await ours.again());
    if (turn < 5) loads.objects.push(await objects.again());
  }
  const size = Deno.statSync(path).size;
  const { accepted, rejected, peakBytes } = ours.first;
  const clock = (all: readonly Load[]): string => whole(middle(all.map((each) => each.milliseconds)));
  console.log(
    `${name}, ${(size / 1e6).toFixed(1)} MB: ${accepted} accepted, ${rejected} rejected\n` +
      `  loaded and checked: ${clock(loads.ours)} ms (first of its process ${
        whole(ours.first.milliseconds)
      } ms; every signal made an object ${clock(loads.objects)} ms)`,
  );
  if (theirs === null) console.log("  pandas is not installed (python3-pandas): no ratio");
  else {
    const elapsed = ratio(loads.ours, loads.theirs, "milliseconds");
    const busy = ratio(loads.ours, loads.theirs, "busy");
    console.log(
      `  pandas.read_csv: ${clock(loads.theirs)} ms (first ${whole(theirs.first.milliseconds)} ms)\n` +
        `  ratio by the clock ${elapsed.text}, by time of the processor ${busy.text}: limit ${MOST_RATIO} ${
          met(elapsed.value <= MOST_RATIO)
        }`,
    );
  }
  console.log(
    peakBytes === 0
      ? "  memory: not known on this system"
      : `  memory at most ${(peakBytes! / size).toFixed(1)} times the file above idle: limit ${MOST_MEMORY} ${
        met(peakBytes! / size <= MOST_MEMORY)
      }`,
  );
  for (const each of [ours, objects, theirs]) await each?.end();
}

async function growth(paths: ReadonlyMap<number, string>): Promise<void> {
  const all: { rows: number; path: string; process: OnDemand; loads: Load[] }[] = [];
  for (const [rows, path] of paths) all.push({ rows, path, process: await own(path), loads: [] });
  for (let turn = 0; turn < 5; turn++) {
    for (const { process, loads } of all) {
      await process.again().then((load) => turn === 0 ? 0 : loads.push(load));
    }
  }
  const perRow = ({ rows, loads }: typeof all[number], of: "milliseconds" | "busy"): number =>
    1000 * middle(loads.map((load) => load[of])) / rows;
  const base = all.find(({ rows }) => rows === 100_000)!;
  console.log("   signals     MB       ms  microseconds a row  of the processor  beside 100,000   memory");
  for (const each of all) {
    const size = Deno.statSync(each.path).size;
    const peak = each.process.first.peakBytes! / size;
    console.log(
      [
        String(each.rows).padStart(10),
        (size / 1e6).toFixed(1).padStart(7),
        whole(middle(each.loads.map((load) => load.milliseconds))).padStart(9),
        perRow(each, "milliseconds").toFixed(2).padStart(20),
        perRow(each, "busy").toFixed(2).padStart(18),
        hundredths(perRow(each, "busy") / perRow(base, "busy")).padStart(16),
        (peak === 0 ? "?" : `${peak.toFixed(1)} x`).padStart(9),
      ].join(""),
    );
    await each.process.end();
  }
}

/** What the ways cost that few logs of this size take: every one is read to the same rules. */
async function otherWays(path: string, garden: string): Promise<void> {
  const ways = [["plain", path, ""], ["by a mapping", path, "mapped"], [
    "a garden log",
    garden,
    "garden",
  ]] as const;
  for (const [name, file, way] of ways) {
    const started = await own(file, ...(way === "" ? [] : [way]));
    const loads = [await started.again(), await started.again(), await started.again()];
    await started.end();
    const { accepted, rejected } = started.first;
    console.log(
      `100,000 rows, ${name}: ${whole(middle(loads.map((load) => load.milliseconds)))} ms, ${
        whole(middle(loads.map((load) => load.busy)))
      } ms of the processor; ${accepted} accepted, ${rejected} rejected`,
    );
  }
}

/** The demo garden's rows again and again, each under an id of its own. */
function largeGarden(rows: number): string {
  const text = Deno.readTextFileSync(new URL("../../datasets/demo/garden-log.csv", import.meta.url));
  const [head, ...lines] = text.trimEnd().split("\n");
  const plain = lines.filter((line) => !line.includes('"')).map((line) => line.slice(line.indexOf(",")));
  return `${head}\n${Array.from({ length: rows }, (_, i) => `T${i}${plain[i % plain.length]}`).join("\n")}\n`;
}

let compared = false;
Deno.bench("load 100,000 signals beside pandas", { group: "load", n: 1, warmup: 0 }, async () => {
  if (compared) return;
  compared = true;
  const folder = await Deno.makeTempDir();
  try {
    const write = async (rows: number, faulty = 0): Promise<string> => {
      const path = `${folder}/${rows}-${faulty}.csv`;
      await Deno.writeFile(path, await largeLog(rows, { faulty }));
      return path;
    };
    console.log("");
    const hundredThousand = await write(100_000);
    await beside("100,000 signals, clean", hundredThousand);
    await beside("100,000 signals, 1 % faulty", await write(100_000, 0.01));
    await growth(
      new Map([
        [10_000, await write(10_000)],
        [100_000, hundredThousand],
        [300_000, await write(300_000)],
        [1_000_000, await write(1_000_000)],
      ]),
    );
    await Deno.writeTextFile(`${folder}/garden.csv`, largeGarden(100_000));
    await otherWays(hundredThousand, `${folder}/garden.csv`);
  } finally {
    await Deno.remove(folder, { recursive: true });
  }
});
