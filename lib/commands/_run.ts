import { CommandLineFault } from "./_command_line.ts";
import { endWithParent } from "./_end_with_parent.ts";
import { tame } from "./_tame.ts";

/** The project's root folder, without a slash at its end. */
export const root: string = new URL("../..", import.meta.url).pathname.replace(/\/$/, "");

/** Says something to the person at the terminal; results go to standard output, this does not. Nothing in it steers a terminal. */
export const say = (text: string): void => console.error(tame(text));

/** An error that knows the status its task ends with. */
interface WithStatus {
  readonly status?: unknown;
  readonly kind?: unknown;
}

/**
 * Runs a task's main function and ends the process with its status: what it returns; 1 for a fault of the input or the command
 * line (a FileFault, a CommandLineFault, an OutputFault of kind "input"), told in its own words; 2 for anything else, told with its
 * stack unless it is a known fault of disk or set-up.
 */
export async function runTask(main: (args: readonly string[]) => Promise<number>): Promise<never> {
  let status = 2;
  // The kernels go with this process by themselves, and what is half written the next run clears away.
  endWithParent(() => Deno.exit(130));
  try {
    status = await main(Deno.args);
  } catch (error) {
    const { status: known, kind } = (error ?? {}) as WithStatus;
    if (error instanceof CommandLineFault || known === 1 || kind === "input") {
      say((error as Error).message);
      status = 1;
    } else if (known === 2 || kind === "ours") {
      say((error as Error).message);
    } else {
      say("This is a fault of ours, not of your log. Please report it with these lines:");
      say(error instanceof Error ? error.stack ?? error.message : String(error));
    }
  }
  Deno.exit(status);
}

/** Runs a program of the project and gives its status; its output goes straight to the terminal. */
export async function runProgram(
  command: string,
  args: readonly string[],
  env: Record<string, string> = {},
): Promise<number> {
  const child = new Deno.Command(command, { args: [...args], cwd: root, env, stdin: "null" }).spawn();
  const { code, signal } = await child.status;
  return signal === "SIGINT" ? 130 : code;
}
