import { callOf, flagsOf } from "../../lib/commands/_permissions.ts";
import { type Ended, root } from "./_season.ts";

const realPath = (path: string): string | null => {
  try {
    return Deno.realPathSync(path);
  } catch {
    return null;
  }
};

/** The command of a task for a person who stands in `here`: with what the task may touch and no more. */
export function taskCommand(
  task: string,
  args: readonly string[],
  { here, temporary, project = root }: {
    readonly here: string;
    readonly temporary: string;
    readonly project?: string;
  },
): Deno.Command {
  const call = callOf(task, args, { root: project, here, temporary, realPath });
  return new Deno.Command(Deno.execPath(), {
    args: [
      "run",
      ...flagsOf(task, call, Deno.execPath()),
      "--no-lock",
      `${project}/lib/commands/${task.replaceAll("-", "_")}.ts`,
      ...args,
    ],
    cwd: project,
    env: { NO_COLOR: "1", INIT_CWD: here, TMPDIR: temporary },
    stdin: "null",
    stdout: "piped",
    stderr: "piped",
  });
}

/** Runs a task of the command line as a person does who stands in `here`. */
export async function runTask(task: string, here: string, args: readonly string[]): Promise<Ended> {
  const temporary = Deno.makeTempDirSync({ prefix: "overiron-" });
  const { code, stdout, stderr } = await taskCommand(task, args, { here, temporary }).output()
    .finally(() => Deno.removeSync(temporary, { recursive: true }));
  const decode = (bytes: Uint8Array) => new TextDecoder().decode(bytes);
  return { code, stdout: decode(stdout), stderr: decode(stderr) };
}
