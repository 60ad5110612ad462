import { treeOf } from "../../lib/commands/_processes.ts";

/** What a program and all that it started took. */
export interface Taken {
  readonly code: number;
  readonly seconds: number;
  /** Seconds of processor of all its processes. */
  readonly busySeconds: number;
  /** The most memory of all its processes together at one moment, pages that they share counted once (PSS); 0 where that is not told. */
  readonly peakBytes: number;
  readonly said: string;
}

function pssOf(pid: number): number {
  try {
    return 1024 * Number(/^Pss:\s+(\d+)/m.exec(Deno.readTextFileSync(`/proc/${pid}/smaps_rollup`))?.[1] ?? 0);
  } catch {
    return 0;
  }
}

/** Runs a program to its end and watches the memory of its whole tree, four times a second. */
export async function measureTree(program: string, args: readonly string[], cwd: string): Promise<Taken> {
  const timed = ["-c", 'TIMEFORMAT="busy %U %S"; time "$@"', "bash", program, ...args];
  const started = performance.now();
  const child = new Deno.Command("bash", {
    args: timed,
    cwd,
    stdin: "null",
    stdout: "null",
    stderr: "piped",
    env: { NO_COLOR: "1" },
  }).spawn();
  let peakBytes = 0;
  const watch = setInterval(() => {
    if (Deno.build.os !== "linux") return;
    peakBytes = Math.max(peakBytes, treeOf(child.pid).reduce((sum, { pid }) => sum + pssOf(pid), 0));
  }, 250);
  const { code, stderr } = await child.output().finally(() => clearInterval(watch));
  const said = new TextDecoder().decode(stderr);
  const [, user, system] = /busy ([\d.]+) ([\d.]+)\s*$/.exec(said) ?? [];
  return {
    code,
    seconds: (performance.now() - started) / 1000,
    busySeconds: Number(user ?? 0) + Number(system ?? 0),
    peakBytes,
    said,
  };
}
