/** What one load took. */
export interface Load {
  readonly milliseconds: number;
  /** Milliseconds of the processor, which other programs on the computer change less than the clock's. */
  readonly busy: number;
  readonly accepted: number;
  readonly rejected?: number;
  /** Of the first load of a process: the most memory it held above idle, or 0 where that is not known. */
  readonly peakBytes?: number;
}

/** A process that waits for a line and then loads its file once more. */
export interface OnDemand {
  /** What its first load took, at its start. */
  readonly first: Load;
  again(): Promise<Load>;
  end(): Promise<void>;
}

/** Starts a program that prints a line of JSON at its start and after each line it is given. Null where it cannot run. */
export async function onDemand(program: string, args: readonly string[]): Promise<OnDemand | null> {
  let child: Deno.ChildProcess;
  try {
    child = new Deno.Command(program, {
      args: [...args],
      stdin: "piped",
      stdout: "piped",
      stderr: "null",
    }).spawn();
  } catch {
    return null;
  }
  const writer = child.stdin.getWriter();
  const reader = child.stdout.pipeThrough(new TextDecoderStream()).getReader();
  let held = "";
  const next = async (): Promise<Load | null> => {
    for (;;) {
      const end = held.indexOf("\n");
      if (end >= 0) {
        const line = held.slice(0, end);
        held = held.slice(end + 1);
        return JSON.parse(line);
      }
      const { done, value } = await reader.read();
      if (done) return null;
      held += value;
    }
  };
  const end = async (): Promise<void> => {
    await writer.close().catch(() => {});
    await reader.cancel().catch(() => {});
    await child.status;
  };
  const first = await next();
  if (first === null) {
    await end();
    return null;
  }
  return {
    first,
    async again() {
      await writer.write(new TextEncoder().encode("\n"));
      const load = await next();
      if (load === null) throw new Error(`Cannot bench: ${program} ended early`);
      return load;
    },
    end,
  };
}
