import { LIGHT_ENVIRONMENT, LIGHT_V8_FLAGS } from "./light_memory.ts";

/** A running kernel process with what is needed to watch it and to end it. */
export interface KernelProcess {
  readonly pid: number;
  /** Resolves once the process is gone. */
  readonly ended: Promise<void>;
  /** Whether the process is gone. */
  hasEnded(): boolean;
  /** The last text the process wrote outside the notebook. */
  stderr(): string;
  /** Ends the process at once and waits until it is gone. */
  kill(): Promise<void>;
}

// The shell waits on a pipe held by this process. When this process goes, however it goes, the pipe closes and the
// kernel is ended: no kernel outlives its run.
const WATCHED = `"$@" </dev/null 3<&- >&2 & k=$!
( read -r line <&3; kill -9 $k 2>/dev/null ) & w=$!
exec 3<&-
echo $k
wait $k
kill -9 $w 2>/dev/null
exit 0`;

const KEPT_VARIABLES = [
  "PATH",
  "HOME",
  "TMPDIR",
  "TEMP",
  "TMP",
  "DENO_DIR",
  "XDG_CACHE_HOME",
  "SYSTEMROOT",
  "USERPROFILE",
  "LOCALAPPDATA",
  "APPDATA",
];

/** Only what a kernel needs to run is handed on, so that a notebook sees the same environment everywhere. */
export function kernelEnvironment(seed: number): Record<string, string> {
  const environment: Record<string, string> = {};
  for (const name of KEPT_VARIABLES) {
    const value = Deno.env.get(name);
    if (value !== undefined) environment[name] = value;
  }
  return {
    ...environment,
    NO_COLOR: "1",
    TZ: "UTC",
    LANG: "C.UTF-8",
    LC_ALL: "C.UTF-8",
    DENO_NO_UPDATE_CHECK: "1",
    DENO_V8_FLAGS: `--random-seed=${seed},${LIGHT_V8_FLAGS}`,
    ...LIGHT_ENVIRONMENT,
  };
}

/** Starts a program so that it ends when this process does. */
export async function startKernelProcess(
  program: readonly string[],
  options: {
    readonly cwd: string;
    readonly env: Record<string, string>;
    /** Told what the program writes to its standard error. */
    readonly onStderr?: (text: string) => void;
  },
): Promise<KernelProcess> {
  const watched = Deno.build.os !== "windows";
  const [command, ...args] = watched ? ["/bin/sh", "-c", `exec 3<&0\n${WATCHED}`, "sh", ...program] : program;
  const child = new Deno.Command(command!, {
    args,
    cwd: options.cwd,
    env: options.env,
    clearEnv: true,
    stdin: "piped",
    stdout: "piped",
    stderr: "piped",
  }).spawn();
  let text = "";
  let gone = false;
  const decoder = new TextDecoder();
  const listening = (async () => {
    for await (const chunk of child.stderr) {
      const more = decoder.decode(chunk, { stream: true });
      text = (text + more).slice(-20_000);
      options.onStderr?.(more);
    }
  })().catch(() => {});
  const ended = child.status.then(() => {
    gone = true;
  });
  let pid = child.pid;
  const stdout = child.stdout.getReader();
  if (watched) {
    let line = "";
    while (!line.includes("\n")) {
      const { value, done } = await stdout.read();
      if (done) break;
      line += decoder.decode(value);
    }
    pid = Number.parseInt(line, 10);
  }
  const rest = (async () => {
    while (!(await stdout.read()).done);
  })().catch(() => {});
  const kill = async (): Promise<void> => {
    if (!gone && Number.isInteger(pid) && pid > 1) {
      try {
        Deno.kill(pid, "SIGKILL");
      } catch {
        // It went by itself in the meantime.
      }
    }
    await child.stdin.close().catch(() => {});
    await ended;
    await Promise.all([listening, rest]);
  };
  return { pid, ended, hasEnded: () => gone, stderr: () => text, kill };
}
