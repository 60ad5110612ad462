// From logs to a published page, 2,000 signals and 180 trials: the season task, every notebook run anew, against the same analysis
// in pandas, scikit-learn, scipy and matplotlib published by nbconvert (Debian's python3-sklearn, python3-matplotlib,
// jupyter-nbconvert and python3-ipykernel), by turns in the same run. Ours also simulates the physics of the last notebook.
import { measureTree, type Taken } from "./_process_tree.ts";
import { largeLog } from "./_large_log.ts";

const root = Deno.cwd();
const ROUNDS = 2;

/** The cells of a Python file in which "# %%" begins a cell, as a notebook. */
function notebookOf(script: string): string {
  const cells = script.split(/^# %%/m).slice(1).map((part, i) => {
    const [kind, ...lines] = part.trimEnd().split("\n");
    const text = kind!.includes("[markdown]");
    const source = text ? lines.map((line) => line.replace(/^# /, "")).join("\n") : lines.join("\n");
    const bare = { id: `cell-${i}`, metadata: {}, source };
    return text
      ? { cell_type: "markdown", ...bare }
      : { cell_type: "code", ...bare, execution_count: null, outputs: [] };
  });
  const kernelspec = { name: "python3", display_name: "Python 3", language: "python" };
  return JSON.stringify({ nbformat: 4, nbformat_minor: 5, metadata: { kernelspec }, cells });
}

async function compare(): Promise<void> {
  const folder = await Deno.makeTempDir({ prefix: "overiron-bench-" });
  try {
    await Deno.writeFile(`${folder}/dig-log.csv`, await largeLog(2000));
    const garden = Deno.readTextFileSync(`${root}/datasets/demo/garden-log.csv`).split("\n").slice(0, 181);
    await Deno.writeTextFile(`${folder}/garden-log.csv`, `${garden.join("\n")}\n`);
    await Deno.copyFile(`${root}/datasets/demo/machines.json`, `${folder}/machines.json`);
    await Deno.writeTextFile(
      `${folder}/peer.ipynb`,
      notebookOf(Deno.readTextFileSync(new URL("season_peer.py", import.meta.url))),
    );
    const ours = (): Promise<Taken> =>
      measureTree(Deno.execPath(), [
        ...["run", "-RWE", "--allow-run", "--no-config", "--no-lock"],
        `${root}/lib/commands/_start.ts`,
        "season",
        `${folder}/dig-log.csv`,
        "--trials",
        `${folder}/garden-log.csv`,
        "--out",
        `${folder}/write-up`,
        "--fresh",
      ], root);
    const theirs = (): Promise<Taken> =>
      measureTree("/usr/bin/jupyter-nbconvert", ["--to", "html", "--execute", "peer.ipynb"], folder);
    const taken: { ours: Taken; theirs: Taken }[] = [];
    for (let round = 0; round < ROUNDS; round++) {
      const pair = { theirs: await theirs(), ours: await ours() };
      for (const [name, { code, said }] of Object.entries(pair)) {
        if (code === 0) continue;
        console.log(`write-up: ${name} ended with status ${code}: ${said.slice(-600)}`);
        return;
      }
      taken.push(pair);
    }
    const best = (side: "ours" | "theirs"): Taken =>
      taken.map((each) => each[side]).sort((a, b) => a.seconds - b.seconds)[0]!;
    const [a, b] = [best("ours"), best("theirs")];
    const mb = (bytes: number): string => `${Math.round(bytes / 1e6)} MB`;
    const told = (each: Taken): string =>
      `${each.seconds.toFixed(1)} s (${each.busySeconds.toFixed(1)} s of processor, at most ${
        mb(each.peakBytes)
      })`;
    console.log(
      `write-up of 2,000 signals and 180 trials: overiron ${told(a)}, pandas, scikit-learn and nbconvert ${
        told(b)
      }: ${(b.seconds / a.seconds).toFixed(2)} times as fast, ${
        (b.busySeconds / a.busySeconds).toFixed(2)
      } times by processor, ${
        (b.peakBytes / a.peakBytes).toFixed(2)
      } times less memory; best of ${ROUNDS}, by turns`,
    );
  } finally {
    await Deno.remove(folder, { recursive: true });
  }
}

Deno.bench("write-up of 2,000 signals and 180 trials, both sides twice", { n: 1, warmup: 0 }, compare);
