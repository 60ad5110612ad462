import { parseArgs } from "node:util";
import { isAbsolute, resolve } from "node:path";
import { tasks } from "./_tasks.ts";

/** A mistake in the command line: ends with status 1. */
export class CommandLineFault extends Error {
  override readonly name = "CommandLineFault";
}

/** A parsed command line: files and option values as written, switches as true. */
export interface CommandLine {
  readonly files: readonly string[];
  readonly values: Readonly<Record<string, string | undefined>>;
  readonly switches: ReadonlySet<string>;
}

/**
 * Reads a task's arguments against its list of options. Throws CommandLineFault for an unknown option, a missing value or
 * one file too many.
 */
export function readCommandLine(name: string, args: readonly string[]): CommandLine {
  const task = tasks[name]!;
  const options = Object.fromEntries(
    Object.entries(task.options).map((
      [key, option],
    ) => [key, { type: option.value ? "string" : "boolean" } as const]),
  );
  const help = `; \`deno task ${name} --help\` lists what it takes`;
  let parsed;
  try {
    parsed = parseArgs({ args: [...args], options, allowPositionals: true, strict: true });
  } catch (error) {
    throw new CommandLineFault(
      `${(error as Error).message.replace(/\.$/, "").replace(/\. .*$/s, "")}${help}`,
    );
  }
  if (parsed.positionals.length > task.files.length && !task.files.at(-1)?.endsWith("...")) {
    const extra = parsed.positionals[task.files.length];
    throw new CommandLineFault(
      `Cannot use "${extra}": ${name} takes at most ${task.files.length} file(s)${help}`,
    );
  }
  const values: Record<string, string | undefined> = Object.create(null);
  const switches = new Set<string>();
  for (const [key, value] of Object.entries(parsed.values)) {
    if (value === true) switches.add(key);
    else if (typeof value === "string") {
      if (value === "") throw new CommandLineFault(`Cannot use --${key}: it needs a value${help}`);
      values[key] = value;
    }
  }
  return { files: parsed.positionals, values, switches };
}

/** Runs something whose RangeErrors and SyntaxErrors are about what the person asked for. */
export async function inTheirWords<T>(work: () => T | Promise<T>): Promise<T> {
  try {
    return await work();
  } catch (error) {
    throw error instanceof RangeError || error instanceof SyntaxError
      ? new CommandLineFault(error.message)
      : error;
  }
}

/** Reads the value of an option that is a whole number of `least` or above. */
export function wholeOf(
  { values }: CommandLine,
  name: string,
  { fallback, least = 1 }: { readonly fallback: number; readonly least?: number },
): number {
  const text = values[name] ?? String(fallback), number = Number(text);
  if (!/^\d+$/.test(text) || !Number.isSafeInteger(number) || number < least) {
    throw new CommandLineFault(
      `Cannot use --${name}: it must be a whole number of ${least} or above, got "${text}"`,
    );
  }
  return number;
}

/** Reads the value of `--seed`: a whole number of 0 or above, 1 when not given. */
export const seedOf = (line: CommandLine): number => wholeOf(line, "seed", { fallback: 1, least: 0 });

/** The mapping files that a command line names, from where the person stands. */
export function columnsOf(line: CommandLine): readonly string[] {
  return [line.values.columns, line.values["trial-columns"]].flatMap((path) =>
    path === undefined ? [] : [fromHere(path)]
  );
}

/** Takes a path from where the person stands; `deno task` itself moves to the project's root. */
export function fromHere(path: string): string {
  return isAbsolute(path) ? path : resolve(Deno.env.get("INIT_CWD") ?? Deno.cwd(), path);
}
