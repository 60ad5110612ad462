// A dig log of 100,000 signals, loaded and checked in full, beside pandas.read_csv, bare, in the same run: clean, and with 1 % of faulty rows.
// Ask for a ratio of 1 or less, ten times the time for ten times the rows, and less than 6 times the file in memory.
// The two take turns, so that a busy computer slows both; medians are compared.
import { median } from "simple-statistics";
import { python } from "./_python.ts";
import { largeLog } from "./_large_log.ts";

interface Run {
  readonly milliseconds: readonly number[];
  readonly withObjects?: readonly number[];
  readonly peakBytes?: number;
  readonly account?: { readonly accepted: number; readonly rejected: number };
}

async function run(program: string, args: readonly string[]): Promise<Run | null> {
  try {
    const { code, stdout } = await new Deno.Command(program, { args: [...args], stderr: "null" }).output();
    return code === 0 ? JSON.parse(new TextDecoder().decode(stdout)) : null;
  } catch {
    return null;
  }
}

const here = (name: string): string => new URL(name, import.meta.url).pathname;
const own = (path: string, repeats: number, objects = false): Promise<Run | null> =>
  run(Deno.execPath(), [
    "run",
    "-A",
    "--no-lock",
    here("_load_once.ts"),
    path,
    String(repeats),
    ...(objects ? ["objects"] : []),
  ]);
const pandas = (path: string, repeats: number): Promise<Run | null> =>
  python("load_pandas.py", { args: [path, String(repeats)] });

const ROUNDS = 3, REPEATS = 5;
const whole = (value: number): string => value.toFixed(0);

async function compare(name: string, path: string): Promise<number> {
  const times = { own: [] as number[], objects: [] as number[], pandas: [] as number[] };
  const firsts = { own: [] as number[], pandas: [] as number[] };
  let account = "", memory = 0;
  const size = Deno.statSync(path).size;
  for (let round = 0; round < ROUNDS; round++) {
    const peer = await pandas(path, REPEATS);
    const mine = await own(path, REPEATS);
    const objects = await own(path, 1, true);
    if (mine === null || objects === null) throw new Error("Cannot bench: the load failed");
    times.own.push(...mine.milliseconds);
    times.objects.push(...objects.withObjects!);
    firsts.own.push(mine.milliseconds[0]!);
    memory = Math.max(memory, mine.peakBytes! / size);
    account = `${mine.account!.accepted} accepted, ${mine.account!.rejected} rejected`;
    if (peer !== null) {
      times.pandas.push(...peer.milliseconds);
      firsts.pandas.push(peer.milliseconds[0]!);
    }
  }
  const [mine, first, objects] = [median(times.own), median(firsts.own), median(times.objects)];
  console.log(`${name}: ${(size / 1e6).toFixed(1)} MB, ${account}`);
  console.log(
    `  loaded and checked: ${whole(mine)} ms (first in its process ${
      whole(first)
    } ms, with every signal made an object ${whole(objects)} ms); memory ${
      memory === 0 ? "not known here" : `${memory.toFixed(1)} times the file`
    }`,
  );
  if (times.pandas.length === 0) console.log("  pandas: not installed (python3-pandas), so no ratio");
  else {
    const [peer, peerFirst] = [median(times.pandas), median(firsts.pandas)];
    console.log(
      `  pandas.read_csv: ${whole(peer)} ms (first ${whole(peerFirst)} ms); ratio ${
        (mine / peer).toFixed(2)
      } (firsts ${(first / peerFirst).toFixed(2)}, with objects ${(objects / peerFirst).toFixed(2)})`,
    );
  }
  return mine;
}

let compared = false;
Deno.bench("load 100,000 signals beside pandas", { group: "load", n: 1, warmup: 0 }, async () => {
  if (compared) return;
  compared = true;
  const folder = await Deno.makeTempDir();
  try {
    const write = async (name: string, rows: number, faulty: number): Promise<string> => {
      const path = `${folder}/${name}.csv`;
      await Deno.writeFile(path, await largeLog(rows, { faulty }));
      return path;
    };
    console.log("");
    const clean = await compare("clean", await write("clean", 100_000, 0));
    await compare("1 % faulty", await write("faulty", 100_000, 0.01));
    const many = await own(await write("million", 1_000_000, 0), 2);
    if (many === null) throw new Error("Cannot bench: the load failed");
    const size = Deno.statSync(`${folder}/million.csv`).size;
    console.log(
      `1,000,000 signals: ${(size / 1e6).toFixed(0)} MB, ${whole(median([...many.milliseconds]))} ms, ${
        (median([...many.milliseconds]) / clean).toFixed(1)
      } times the time of 100,000; memory ${(many.peakBytes! / size).toFixed(1)} times the file`,
    );
  } finally {
    await Deno.remove(folder, { recursive: true });
  }
});
