export interface PythonOptions {
  /** Written to the program's standard input as JSON. Default: nothing. */
  readonly job?: unknown;
  readonly args?: readonly string[];
}

/**
 * Runs one of the Python programs of this folder and gives what it printed, read as JSON; null where neither Debian's python3 nor another has the libraries
 * it needs.
 */
export async function python<Printed>(script: string, options: PythonOptions = {}): Promise<Printed | null> {
  const { job, args = [] } = options;
  const path = new URL(script, import.meta.url).pathname;
  for (const program of ["/usr/bin/python3", "python3"]) {
    try {
      const child = new Deno.Command(program, {
        args: [path, ...args],
        stdin: job === undefined ? "null" : "piped",
        stdout: "piped",
        stderr: "null",
      }).spawn();
      if (job !== undefined) {
        const writer = child.stdin.getWriter();
        await writer.write(new TextEncoder().encode(JSON.stringify(job))).catch(() => {});
        await writer.close().catch(() => {});
      }
      const { code, stdout } = await child.output();
      if (code === 0) return JSON.parse(new TextDecoder().decode(stdout));
    } catch {
      // not installed: try the next
    }
  }
  return null;
}
