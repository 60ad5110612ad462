/** Under this name a task's program is told the number of the process that started it. */
export const STARTED_BY = "OVERIRON_STARTED_BY";

/** Who started this process. */
export interface Family {
  readonly parent: number;
  /**
   * The parent's own parent, where the parent only hands on: where the packages are installed, `deno task` starts programs
   * through a small one of a package, which stays when `deno task` is killed. Null elsewhere.
   */
  readonly above: number | null;
}

/** Rows of ps(1) for some processes; null where it is not there. */
function look(
  pids: readonly number[],
): Map<number, { readonly parent: number; readonly command: string }> | null {
  try {
    const { stdout } = new Deno.Command("ps", {
      args: ["-o", "pid=,ppid=,args=", "-p", pids.join()],
      stdin: "null",
      stderr: "null",
    }).outputSync();
    const rows = new TextDecoder().decode(stdout).split("\n").flatMap((line) => {
      const [, pid, parent, command] = /^\s*(\d+)\s+(\d+)\s+(.*)$/.exec(line) ?? [];
      return pid === undefined ? [] : [[Number(pid), { parent: Number(parent), command: command! }] as const];
    });
    return rows.length === 0 ? null : new Map(rows);
  } catch {
    return null;
  }
}

/**
 * Tells who started this process, which is to be asked first of all; null where that one has gone already: then the process was
 * handed to number 1, and that is no `deno task`. `handsOn` is what the command line of one that only hands on names.
 */
export function familyNow(handsOn: string): Family | null {
  const parent = Deno.ppid;
  const rows = Deno.build.os === "windows" ? null : look([parent, 1]);
  if (rows === null) return { parent, above: null };
  const adopted = (pid: number): boolean => pid === 1 && !/deno/.test(rows.get(1)?.command ?? "");
  const starter = rows.get(parent);
  if (starter === undefined || adopted(parent)) return null;
  if (!starter.command.includes(handsOn)) return { parent, above: null };
  return adopted(starter.parent) ? null : { parent, above: starter.parent };
}

/**
 * Ends something when the process that started this one has gone, however it went: a killed task must not go on working
 * where nobody sees it. Looked at four times a second; on Windows a process keeps its parent's number, and nothing happens.
 *
 * `family` is what {@link familyNow} told; without it the number that the parent handed on is taken, or the parent of now. A
 * parent that only hands on is watched from above as well, once a second.
 */
export function endWithParent(end: () => void, family?: Family): void {
  // Told by the parent where it can: it may be gone before this program has begun. Not handed on to others.
  const told = Deno.env.get(STARTED_BY);
  if (told !== undefined) Deno.env.delete(STARTED_BY);
  const { parent, above } = family ?? { parent: told === undefined ? Deno.ppid : Number(told), above: null };
  const timers: ReturnType<typeof setInterval>[] = [];
  const stop = (): void => {
    timers.forEach(clearInterval);
    end();
  };
  timers.push(setInterval(() => Deno.ppid === parent || stop(), 250));
  if (above !== null) {
    timers.push(setInterval(() => {
      const now = look([parent])?.get(parent);
      if (now !== undefined && now.parent !== above) stop();
    }, 1000));
  }
  for (const timer of timers) Deno.unrefTimer(timer);
}
