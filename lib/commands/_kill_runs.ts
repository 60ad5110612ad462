import { createHash } from "node:crypto";
import { chance } from "../numbers/mod.ts";
import { type Process, processesNaming, treeOf } from "./_processes.ts";

/**
 * Who is killed: what the person started, the small program of a package through which `deno task` starts others, the
 * one that hands over, the one that does the work, or all of them with the kernels.
 */
export const VICTIMS = ["task", "between", "starter", "worker", "all"] as const;
export type Victim = typeof VICTIMS[number];

/** What one kill did. */
export interface Kill {
  /** How far into the run, as a share of the time that such a run takes undisturbed. */
  readonly moment: number;
  readonly run: "every notebook" | "from the cache";
  readonly killed: Victim;
  /** How many processes were at work at that moment; 0 where the run had ended before. */
  readonly processes: number;
  /** What lay beside the write-up after the kill, by the ends of the names. */
  readonly beside: readonly string[];
  /** Which write-up was there: whole, byte for byte. "moved" is whole as well, beside its place, for the next run to put back. */
  readonly found: "the earlier" | "the new" | "moved" | "BROKEN";
  /** Processes that were still there ten seconds later. */
  readonly orphans: number;
  /** How long the last of them lived on, in milliseconds. */
  readonly last_alive_ms: number;
  /** What is wrong with the run after it; null where it ended well, with the bytes it must have and nothing left lying. */
  readonly next_run: string | null;
}

export interface KillRunsOptions {
  readonly kills: number;
  readonly seed: number;
  /** A folder of its own; everything a run leaves must lie in it. */
  readonly place: string;
  /** The command line of a run with a seed, to be started by the Deno that runs this. */
  readonly command: (
    run: { readonly seed: number; readonly out: string; readonly fresh: boolean },
  ) => string[];
  readonly cwd: string;
  readonly onKill?: (kill: Kill, at: number) => void;
}

const pause = (ms: number): Promise<void> => new Promise((done) => setTimeout(done, ms));

/**
 * Kills runs at random moments over a good write-up, with SIGKILL, and looks at what is left each time: the write-up, the
 * processes, the folders, and whether the next run works.
 *
 * Two write-ups that differ by their seed take turns, so that the earlier one and the new one can be told apart. Kills take
 * turns as well in what is killed, and in whether the run goes through every notebook or takes them from the cache, where
 * most of its time is writing. Throws Error where a run that nobody disturbs fails.
 */
export async function killRuns(options: KillRunsOptions): Promise<Kill[]> {
  const { kills, seed, place, onKill } = options;
  const out = `${place}/out/write-up`, temporary = `${place}/temporary`;
  for (const folder of [`${place}/out`, temporary]) await Deno.mkdir(folder, { recursive: true });
  const start = (seed: number, fresh: boolean, heard: "piped" | "null"): Deno.ChildProcess =>
    new Deno.Command(Deno.execPath(), {
      args: options.command({ seed, out, fresh }),
      cwd: options.cwd,
      env: { TMPDIR: temporary, NO_COLOR: "1" },
      stdin: "null",
      stdout: "null",
      stderr: heard,
    }).spawn();
  /** A run to its end: what is wrong with it, and how long it took. */
  const whole = async (seed: number, fresh: boolean): Promise<{ fault: string | null; ms: number }> => {
    const from = performance.now();
    const { code, stderr } = await start(seed, fresh, "piped").output();
    const said = new TextDecoder().decode(stderr).trim().split("\n").slice(-3).join(" / ");
    return { fault: code === 0 ? null : `status ${code}: ${said}`, ms: performance.now() - from };
  };

  const write_ups: string[] = [];
  const lasts: Record<string, number> = {};
  for (const [fresh, which] of [[true, 1], [false, 1], [false, 2], [false, 2], [false, 1]] as const) {
    const { fault, ms } = await whole(which, fresh);
    if (fault !== null) throw new Error(`Cannot begin: a run that nobody disturbed ended with ${fault}`);
    lasts[String(fresh)] = ms;
    write_ups[which] = fingerprint(out)!;
  }
  if (write_ups[1] === write_ups[2]) throw new Error("Cannot begin: both seeds give the same write-up");

  const found: Kill[] = [];
  let standing = 1;
  for (let at = 0; at < kills; at++) {
    const draw = chance(seed, "commands/kill-runs", at);
    const victim = VICTIMS[at % VICTIMS.length]!;
    const fresh = Math.floor(at / VICTIMS.length) % 2 === 0;
    const moment = draw.next();
    const next = 3 - standing;
    const child = start(next, fresh, "null");
    let ended = false;
    const status = child.status.then(() => ended = true);
    await pause(moment * lasts[String(fresh)]!);
    const tree = ended ? [] : treeOf(child.pid);
    for (const pid of victimsAmong(tree, victim, child.pid)) kill(pid);
    const from = performance.now();
    await status;
    let alive: Process[] = [], last_alive_ms = 0;
    for (;;) {
      alive = processesNaming(place);
      if (alive.length === 0) break;
      last_alive_ms = performance.now() - from;
      if (last_alive_ms > 10_000) break;
      await pause(20);
    }
    const beside = namesIn(`${place}/out`).map((name) => name.slice("write-up".length)).filter((end) =>
      end !== "" && end !== ".rejected"
    );
    const which = (folder: string): number => write_ups.indexOf(fingerprint(folder) ?? "none");
    const now = which(out);
    const moved = fingerprint(out) === null && [".before", ".ready"].some((end) => which(`${out}${end}`) > 0);
    for (const { pid } of alive) kill(pid);
    const run = await whole(next, false);
    lasts.false = (lasts.false! * 3 + run.ms) / 4;
    standing = next;
    const left = [...namesIn(`${place}/out`), ...namesIn(temporary)].join(", ");
    const result: Kill = {
      moment: Math.round(moment * 1e6) / 1e6,
      run: fresh ? "every notebook" : "from the cache",
      killed: victim,
      processes: tree.length,
      beside,
      found: now === standing ? "the new" : now > 0 ? "the earlier" : moved ? "moved" : "BROKEN",
      orphans: alive.length,
      last_alive_ms: Math.round(last_alive_ms),
      next_run: run.fault ??
        (which(out) !== next
          ? "other bytes than an undisturbed run"
          : left === "write-up, write-up.rejected"
          ? null
          : `left lying: ${left}`),
    };
    found.push(result);
    onKill?.(result, at + 1);
  }
  return found;
}

/** Which processes of a run's tree to kill. One that is not there yet stands for the one that will start it. */
function victimsAmong(tree: readonly Process[], victim: Victim, root: number): number[] {
  if (tree.length === 0) return [];
  const starting = tree.filter(({ pid, command }) => pid !== root && command.includes("_start.ts"));
  const between = starting.at(-2)?.pid ?? root, starter = starting.at(-1)?.pid ?? root;
  const worker = tree.find(({ command }) => /\/season\.ts/.test(command))?.pid ?? starter;
  if (victim === "all") return tree.map(({ pid }) => pid);
  return [{ task: root, between, starter, worker }[victim]];
}

function kill(pid: number): void {
  try {
    Deno.kill(pid, "SIGKILL");
  } catch {
    // It has ended already.
  }
}

function namesIn(folder: string): string[] {
  return [...Deno.readDirSync(folder)].map(({ name }) => name).sort();
}

/** A hash over every file of a folder with its path; null where the folder is not there. */
function fingerprint(folder: string): string | null {
  const hash = createHash("sha256");
  const walk = (path: string, shown: string): void => {
    for (
      const { name, isDirectory } of [...Deno.readDirSync(path)].sort((a, b) => a.name < b.name ? -1 : 1)
    ) {
      if (isDirectory) walk(`${path}/${name}`, `${shown}${name}/`);
      else {
        const bytes = Deno.readFileSync(`${path}/${name}`);
        hash.update(`${shown}${name} ${bytes.length}\n`).update(bytes);
      }
    }
  };
  try {
    walk(folder, "");
  } catch (error) {
    if (error instanceof Deno.errors.NotFound) return null;
    throw error;
  }
  return hash.digest("hex");
}
