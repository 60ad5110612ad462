import { callOf, flagsOf } from "../../lib/commands/_permissions.ts";

export const root: string = Deno.env.get("OVERIRON_ROOT") ?? Deno.cwd();

/** How a task ended, and what it said. */
export interface Ended {
  readonly code: number;
  readonly stdout: string;
  readonly stderr: string;
}

/** Runs the season command as `deno task season` does once everything is installed: with what it may touch and no more. */
export async function season(args: readonly string[], env: Record<string, string> = {}): Promise<Ended> {
  const temporary = Deno.makeTempDirSync({ prefix: "overiron-" });
  const call = callOf("season", args, { root, here: env.INIT_CWD ?? root, temporary, realPath });
  const { code, stdout, stderr } = await new Deno.Command(Deno.execPath(), {
    args: [
      "run",
      ...flagsOf("season", call, Deno.execPath()),
      "--no-lock",
      `${root}/lib/commands/season.ts`,
      ...args,
    ],
    cwd: root,
    env: { NO_COLOR: "1", TMPDIR: temporary, ...env },
    stdin: "null",
  }).output().finally(() => Deno.removeSync(temporary, { recursive: true }));
  const decode = (bytes: Uint8Array) => new TextDecoder().decode(bytes);
  return { code, stdout: decode(stdout), stderr: decode(stderr) };
}

function realPath(path: string): string | null {
  try {
    return Deno.realPathSync(path);
  } catch {
    return null;
  }
}

/** Every file under a folder by its relative path, as bytes in Latin-1 text: compared, never shown. */
export function filesOf(folder: string, under = ""): Map<string, string> {
  const files = new Map<string, string>();
  for (const entry of [...Deno.readDirSync(`${folder}/${under}`)].sort((a, b) => a.name < b.name ? -1 : 1)) {
    const path = under ? `${under}/${entry.name}` : entry.name;
    if (entry.isDirectory) { for (const [name, text] of filesOf(folder, path)) files.set(name, text); }
    else files.set(path, new TextDecoder("latin1").decode(Deno.readFileSync(`${folder}/${path}`)));
  }
  return files;
}

export function exists(path: string): boolean {
  try {
    Deno.lstatSync(path);
    return true;
  } catch {
    return false;
  }
}
