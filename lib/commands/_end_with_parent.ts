/** Under this name a task's program is told the number of the process that started it. */
export const STARTED_BY = "OVERIRON_STARTED_BY";

/**
 * Ends something when the process that started this one has gone, however it went: a killed task must not go on working
 * where nobody sees it. Looked at four times a second; on Windows a process keeps its parent's number, and nothing happens.
 *
 * With `above`, the parent's own parent is watched as well, once a second, by asking ps(1): where the packages are
 * installed, `deno task` starts programs through a small one of a package, which stays when `deno task` is killed.
 */
export function endWithParent(end: () => void, { above = false }: { readonly above?: boolean } = {}): void {
  // Told by the parent where it can: it may be gone before this program has begun. Not handed on to others.
  const told = Deno.env.get(STARTED_BY);
  if (told !== undefined) Deno.env.delete(STARTED_BY);
  const parent = told === undefined ? Deno.ppid : Number(told);
  let ended = false;
  const stop = (): void => {
    if (!ended) end();
    ended = true;
    timers.forEach(clearInterval);
  };
  const timers = [setInterval(() => Deno.ppid === parent || stop(), 250)];
  if (above && Deno.build.os !== "windows") {
    let first: number | null = null, asking = false;
    const look = async (): Promise<void> => {
      if (asking || ended) return;
      asking = true;
      const now = await parentOf(parent);
      first ??= now;
      if (now !== null && now !== first) stop();
      asking = false;
    };
    void look();
    timers.push(setInterval(() => void look(), 1000));
  }
  for (const timer of timers) Deno.unrefTimer(timer);
}

/** The number of a process's parent; null where it cannot be had. */
async function parentOf(pid: number): Promise<number | null> {
  try {
    const { success, stdout } = await new Deno.Command("ps", {
      args: ["-o", "ppid=", "-p", `${pid}`],
      stdin: "null",
      stderr: "null",
    }).output();
    const parent = Number(new TextDecoder().decode(stdout).trim());
    return success && Number.isInteger(parent) && parent > 0 ? parent : null;
  } catch {
    return null;
  }
}
