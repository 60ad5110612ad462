// Starts every task. It runs before anything is installed, so neither it nor what it imports imports a package: it prints the
// help, installs what is missing from the lock file, and hands over to the pinned Deno.
import { callOf, flagsOf, HANDED_ON, permissionsOf, permissionText } from "./_permissions.ts";
import { endWithParent, familyNow, STARTED_BY } from "./_end_with_parent.ts";
import { LIGHT_ENVIRONMENT } from "../writeup/light_memory.ts";
import { ownFolder } from "./_own_folder.ts";
import { helpOf, tasks } from "./_tasks.ts";

const pinned = "2.9.6";
const npm = "npm:npm@11.21.2";
const root = decodeURIComponent(new URL("../..", import.meta.url).pathname).replace(/^\/([A-Za-z]:)/, "$1");

const packages: Readonly<Record<string, string>> = {
  "linux-x86_64": "linux-x64-glibc",
  "linux-aarch64": "linux-arm64-glibc",
  "darwin-x86_64": "darwin-x64",
  "darwin-aarch64": "darwin-arm64",
  "windows-x86_64": "win32-x64",
  "windows-aarch64": "win32-arm64",
};

const say = (text: string): void => console.error(text);

/** The program at work for this one: npm, then the task's own. */
let running: Deno.ChildProcess | null = null;

function end(): void {
  if (running === null) Deno.exit(130);
  try {
    running.kill("SIGTERM");
  } catch {
    // It has ended already.
  }
}

async function fingerprint(): Promise<string> {
  const files = ["package-lock.json", "package.json"].map((name) => Deno.readTextFileSync(`${root}${name}`));
  const bytes = new TextEncoder().encode([npm, Deno.build.target, ...files].join("\n"));
  const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
  return Array.from(digest, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

function readText(path: string): string | null {
  try {
    return Deno.readTextFileSync(path);
  } catch (error) {
    if (error instanceof Deno.errors.NotFound || error instanceof Deno.errors.NotADirectory) return null;
    throw error;
  }
}

function realPath(path: string): string | null {
  try {
    return Deno.realPathSync(path);
  } catch {
    return null;
  }
}

function isLink(path: string): boolean {
  try {
    return Deno.lstatSync(path).isSymlink;
  } catch {
    return false;
  }
}

/** Installs the packages unless the stamp, which is written last, says that this very lock file is installed. */
async function install(): Promise<void> {
  const stamp = `${root}node_modules/.overiron-stamp`;
  const wanted = await fingerprint();
  if (readText(stamp) === wanted) return;
  Deno.mkdirSync(`${root}.overiron`, { recursive: true });
  using lock = Deno.openSync(`${root}.overiron/setup.lock`, { create: true, write: true });
  await lock.lock(true); // held until this process ends, however it ends
  if (readText(stamp) === wanted) return;
  // Packages reached through a link belong to another checkout: installing would empty its folder. The link alone goes.
  if (isLink(`${root}node_modules`)) Deno.removeSync(`${root}node_modules`);
  say("Installing the packages of the lock file; this happens once and takes about half a minute.");
  const flags = ["ci", "--ignore-scripts", "--no-audit", "--no-fund", "--loglevel=error"];
  const child = new Deno.Command(Deno.execPath(), {
    args: ["run", "-A", "--no-config", "--no-lock", npm, ...flags],
    cwd: root,
    stdin: "null",
    stdout: "null",
    stderr: "inherit",
  }).spawn();
  running = child;
  const { success } = await child.status;
  running = null;
  if (!success) {
    say(
      "Set-up failed: the packages could not be installed. Is the network there, and is the disk full? Run the task again.",
    );
    Deno.exit(2);
  }
  Deno.writeTextFileSync(stamp, wanted);
}

/** The pinned Deno from the installed packages, or this one where it is of that version. */
function pinnedDeno(): string {
  const folder = packages[`${Deno.build.os}-${Deno.build.arch}`];
  const path = `${root}node_modules/@deno/${folder}/deno${Deno.build.os === "windows" ? ".exe" : ""}`;
  try {
    if (folder && Deno.statSync(path).isFile) return path;
  } catch {
    // Not every system has a package; the running Deno may do.
  }
  if (Deno.version.deno === pinned) return Deno.execPath();
  say(
    `Set-up failed: this project runs on Deno ${pinned}, and no package of it fits this system (${Deno.build.target})`,
  );
  Deno.exit(2);
}

async function main(): Promise<number> {
  const [name, ...args] = Deno.args;
  if (name === undefined || !tasks[name]) {
    say(`Cannot start: unknown task "${name ?? ""}". Tasks: ${Object.keys(tasks).join(", ")}`);
    return 1;
  }
  const end = args.indexOf("--");
  if ((end < 0 ? args : args.slice(0, end)).some((arg) => arg === "--help" || arg === "-h")) {
    console.log(`${helpOf(name)}\n${permissionText(name)}`);
    return 0;
  }
  try {
    await install();
  } catch (error) {
    say(`Set-up failed: ${(error as Error).message}`);
    return 2;
  }
  if (name === "setup") {
    say("Everything is installed.");
    return 0;
  }
  const here = Deno.env.get("INIT_CWD") ?? Deno.cwd();
  const deno = pinnedDeno();
  using own = permissionsOf(name).run === "kernel" ? ownFolder() : null;
  const folder = own?.path ?? null;
  const call = callOf(name, args, { root: root.replace(/\/$/, ""), here, temporary: folder, realPath });
  return await hand(name, args, { deno, here, folder, flags: flagsOf(name, call, deno) });
}

function handedOn(): Record<string, string> {
  const given = HANDED_ON.flatMap((name) => {
    const value = Deno.env.get(name);
    return value === undefined ? [] : [[name, value] as const];
  });
  return Object.fromEntries(given);
}

/** Hands over to the task's own program, with the flags that give it what it may touch; its status. */
async function hand(
  name: string,
  args: readonly string[],
  { deno, here, folder, flags }: {
    deno: string;
    here: string;
    folder: string | null;
    flags: readonly string[];
  },
): Promise<number> {
  const { everything, run } = permissionsOf(name);
  const cut = everything === undefined;
  // Both the shell and a terminal's Ctrl-C reach the child as well; this process only waits and passes its status on.
  const child = new Deno.Command(deno, {
    args: ["run", ...flags, "--no-lock", `${root}lib/commands/${name.replaceAll("-", "_")}.ts`, ...args],
    cwd: root,
    env: {
      ...(cut ? handedOn() : {}),
      ...(run === "kernel" ? LIGHT_ENVIRONMENT : {}),
      INIT_CWD: here,
      [STARTED_BY]: `${Deno.pid}`,
      ...(folder === null ? {} : { TMPDIR: folder, TEMP: folder, TMP: folder }),
    },
    clearEnv: cut,
    stdin: "inherit",
    stdout: "inherit",
    stderr: "inherit",
  }).spawn();
  running = child;
  Deno.addSignalListener("SIGINT", () => {});
  if (Deno.build.os !== "windows") Deno.addSignalListener("SIGTERM", end);
  const { code, signal } = await child.status;
  return signal === "SIGINT" || signal === "SIGTERM" ? 130 : code;
}

// Started by `deno task`, which names the folder it was called in, it must not outlive it; started by hand it may.
if (Deno.env.get("INIT_CWD") !== undefined) {
  const family = familyNow("_start.ts");
  if (family === null) Deno.exit(130);
  endWithParent(end, family);
}
Deno.exit(await main());
