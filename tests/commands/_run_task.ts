import { callOf, flagsOf } from "../../lib/commands/_permissions.ts";
import { type Ended, root } from "./_season.ts";

const realPath = (path: string): string | null => {
  try {
    return Deno.realPathSync(path);
  } catch {
    return null;
  }
};

/** Runs a task of the command line as a person does who stands in `here`: with what the task may touch and no more. */
export async function runTask(task: string, here: string, args: readonly string[]): Promise<Ended> {
  const temporary = Deno.makeTempDirSync({ prefix: "overiron-" });
  const call = callOf(task, args, { root, here, temporary, realPath });
  const { code, stdout, stderr } = await new Deno.Command(Deno.execPath(), {
    args: [
      "run",
      ...flagsOf(task, call, Deno.execPath()),
      "--no-lock",
      `${root}/lib/commands/${task.replaceAll("-", "_")}.ts`,
      ...args,
    ],
    cwd: root,
    env: { NO_COLOR: "1", INIT_CWD: here, TMPDIR: temporary },
    stdin: "null",
  }).output().finally(() => Deno.removeSync(temporary, { recursive: true }));
  const decode = (bytes: Uint8Array) => new TextDecoder().decode(bytes);
  return { code, stdout: decode(stdout), stderr: decode(stderr) };
}
