// What every task may touch, in one place: _start.ts makes flags of it, the README's table and --help say it in words.
// It runs before anything is installed, so it imports no package.
import { dirname, isAbsolute, join, resolve } from "node:path";
import { parseArgs } from "node:util";
import { cardBeside, isNotebookPath, joinedBeside } from "./_files_beside.ts";
import { LIGHT_V8_FLAGS } from "../writeup/light_memory.ts";
import { type Task, tasks } from "./_tasks.ts";

/** What the table's words mean. */
export const PERMISSION_WORDS =
  "What you name: the files and folders of the command line, and `machines.json` and `mapping.json` beside them. Tasks that\n" +
  "may touch everything apart, none may use the network beyond this machine, but to install the packages the first time, and\n" +
  "of the environment each sees only where programs, caches and temporary files are. A kernel of a write-up gives up all but\n" +
  "reading files before the first cell.\n" +
  "The pinned Deno that `check-notebooks`, `demo-logs`, `fuzz-logs` and `jupyter` start checks types, makes the demo logs, loads\n" +
  "generated files and writes the kernel's entry into your Jupyter folder; a kernel that JupyterLab or VS Code starts may do all that you may.\n" +
  "`season` starts it too, after a change of `lib/`, to make one file of it for kernels.";

/** A task as it was called, with every path whole. */
export interface Call {
  readonly root: string;
  /** The files and folders that it names. */
  readonly named: readonly string[];
  /** The value of an option that takes a path, whole; undefined where it was not given. */
  option(name: string): string | undefined;
  /** The first file it names. */
  readonly first: string | undefined;
  /** The same, as it was typed. */
  readonly typed: string | undefined;
  /** The folder where the person stands. */
  readonly here: string;
  /** The path that a path leads to once its links are followed; null where nothing is there. */
  realPath(path: string): string | null;
  /** A folder made for this one call under the system's temporary one, and removed after it; null where there is none. */
  readonly temporary: string | null;
}

/** Something on the disk that a task may read or write. */
interface Place {
  readonly words: string;
  readonly paths: (call: Call) => readonly string[];
}

/** What a task may touch. `everything` holds the reason why its flags are not cut down. */
export interface Permissions {
  readonly read: readonly Place[];
  readonly write: readonly Place[];
  /** Whether it starts programs: the pinned Deno, and the shell that ends a kernel with its run. */
  readonly run: "none" | "deno" | "kernel";
  readonly everything?: string;
  /** Whether it loads rolldown, a package with native code: to parse cells, or to bundle the phone page's script. */
  readonly parses?: boolean;
}

const project: Place = { words: "the project", paths: ({ root }) => [root] };
const named: Place = {
  words: "what you name",
  paths: ({ named }) =>
    named.flatMap((
      path,
    ) => [path, ...["machines.json", "mapping.json"].map((name) => join(dirname(path), name))]),
};
const temporary: Place = {
  words: "a temporary folder of its own",
  paths: ({ temporary }) => temporary === null ? [] : [temporary],
};
const inProject = (path: string, words = `\`${path}\``): Place => ({
  words,
  paths: ({ root }) => [join(root, path)],
});
const out = (option: string, otherwise: string, unnamed: (call: Call) => string | undefined): Place => ({
  words: `\`--${option}\`${otherwise === "" ? "" : ` (else ${otherwise})`}`,
  paths: (call) => {
    const path = call.option(option) ?? unnamed(call);
    return path === undefined ? [] : [path];
  },
});
const outInProject = (path: string): Place => out("out", `\`${path}\``, ({ root }) => join(root, path));
const folderOf = (place: Place): Place => ({
  words: `the folder of ${place.words}`,
  paths: (call) => place.paths(call).map(dirname),
});
const WRITE_UP_ENDS = [
  "",
  ".staged",
  ".ready",
  ".before",
  ".lock",
  ".rejected",
  ".failed",
  ".failed.rejected",
];
/** A write-up's folder and those that stand beside it while it is made and after. */
const writeUp: Place = {
  words: "`--out` (else `write-ups`) and what is staged or set aside beside it",
  paths: (call) => {
    const out = call.option("out");
    if (out === undefined) return [join(call.root, "write-ups")];
    const places = [out, call.realPath(out) ?? out];
    return places.flatMap((path) => WRITE_UP_ENDS.map((end) => `${path}${end}`));
  },
};
const cache = inProject(".overiron");

const reads: Permissions = { read: [project, named], write: [], run: "none" };
const runsKernels: Permissions = {
  read: [project, named, temporary],
  write: [temporary],
  run: "kernel",
  parses: true,
};
const whole = (everything: string): Permissions => ({ read: [], write: [], run: "deno", everything });

/** What each task may touch, by its name. */
export const permissions: Readonly<Record<string, Permissions>> = {
  season: { ...runsKernels, write: [writeUp, cache, temporary] },
  "check-log": reads,
  rerun: runsKernels,
  "merge-logs": {
    ...reads,
    write: [out("out", "", () => undefined), out("machines-out", "", () => undefined)],
  },
  "check-notebooks": { read: [project, named], write: [cache], run: "deno", parses: true },
  "new-notebook": { read: [project], write: [inProject("own-notebooks")], run: "none" },
  watch: {
    ...runsKernels,
    read: [project, {
      words: "the notebook's folder, the data folder",
      // A bare name is a notebook of the project; behind a link, the notebook's own folder is meant.
      paths: ({ first, typed, option, realPath }) =>
        [
          first === undefined || !isNotebookPath(typed!)
            ? []
            : [dirname(first), dirname(realPath(first) ?? first)],
          option("data") ?? [],
        ].flat(),
    }, temporary],
  },
  jupyter: { read: [project], write: [], run: "deno" },
  "match-columns": {
    ...reads,
    write: [
      out(
        "out",
        "`mapping.json` beside the log",
        ({ first }) => first === undefined ? undefined : join(dirname(first), "mapping.json"),
      ),
    ],
  },
  "virtual-garden": { ...reads, write: [outInProject("write-ups/virtual-garden")] },
  "virtual-season": { ...reads, write: [outInProject("write-ups/virtual-season")] },
  "plan-garden": { ...reads, write: [outInProject("write-ups/garden-plan")] },
  "field-sheets": { ...reads, write: [outInProject("write-ups/field-sheets")] },
  "fit-model": {
    ...reads,
    write: [
      out("out", "`model.json` where you stand", ({ here }) => join(here, "model.json")),
      {
        words: "the card beside it",
        paths: ({ here, option }) => [cardBeside(option("out") ?? join(here, "model.json"))],
      },
    ],
  },
  "phone-page": { ...reads, write: [folderOf(outInProject("write-ups/phone-page.html"))], parses: true },
  "take-home": {
    ...reads,
    write: [
      out("out", "`LOG-joined.csv`", ({ option }) => {
        const log = option("log");
        return log === undefined ? undefined : joinedBeside(log);
      }),
    ],
  },
  "prove-garden": { read: [project], write: [inProject("datasets/proofs")], run: "none" },
  "prove-model": { read: [project], write: [inProject("datasets/proofs")], run: "none" },
  "data-dictionary": { read: [project], write: [inProject("datasets/DATA_DICTIONARY.md")], run: "none" },
  "demo-logs": { read: [project], write: [inProject("datasets")], run: "deno" },
  "fuzz-logs": { read: [project], write: [], run: "deno" },
  "long-outing": whole("it drives Chromium"),
  test: whole("it starts other programs, to check against them"),
  gate: whole("it runs the tests"),
  "kill-season": whole("it starts other programs, to kill them"),
  bench: whole("it starts other programs, to measure against them"),
};

/** What rolldown reads as it is loaded, to tell which of its builds fits this system. */
const PARSER_READS = "/usr/bin/ldd";

/**
 * What a task is handed of the environment, and all that it can see of it: where the person stands, where programs, caches
 * and temporary files are, and how to write to the terminal. Packages read other names as they are loaded, and find nothing.
 */
export const HANDED_ON: readonly string[] = [
  "INIT_CWD",
  "PATH",
  "HOME",
  "TMPDIR",
  "TEMP",
  "TMP",
  "DENO_DIR",
  "XDG_CACHE_HOME",
  "XDG_DATA_HOME",
  "JUPYTER_DATA_DIR",
  "SYSTEMROOT",
  "USERPROFILE",
  "LOCALAPPDATA",
  "APPDATA",
  "TERM",
  "NO_COLOR",
];

/** Which words for a value or a file, in _tasks.ts, stand for a path. */
const isPath = (word: string | undefined): boolean =>
  /FILE|DIR|LOG|NOTEBOOK|FOLDER|EXPORT|WRITE_UP/.test(word ?? "");

/** Reads from a command line which paths it names; what is wrong with it the task itself will tell. */
export function callOf(
  name: string,
  args: readonly string[],
  at: Pick<Call, "root" | "here" | "temporary" | "realPath">,
): Call {
  const task: Task = tasks[name]!;
  const options = Object.fromEntries(
    Object.entries(task.options).map((
      [key, { value }],
    ) => [key, { type: value ? "string" : "boolean" } as const]),
  );
  const { values, positionals } = parseArgs({
    args: [...args],
    options,
    allowPositionals: true,
    strict: false,
  });
  const wholePath = (path: string): string => isAbsolute(path) ? path : resolve(at.here, path);
  // NAME=FILE is a file under a name, but a file may have such a name as well.
  const pathsIn = (text: string): string[] => {
    const parts = text.includes("=")
      ? [text, ...text.split(",").map((part) => part.slice(part.indexOf("=") + 1))]
      : [text];
    return parts.filter((part) => part !== "").map(wholePath);
  };
  const files = positionals.filter((_, i) => isPath(task.files[Math.min(i, task.files.length - 1)]));
  const given = Object.entries(values).flatMap(([key, value]) =>
    typeof value === "string" && value !== "" && isPath(task.options[key]?.value)
      ? [[key, value] as const]
      : []
  );
  const byName = new Map(given);
  return {
    ...at,
    named: [...files, ...given.map(([, value]) => value)].flatMap(pathsIn),
    first: files[0] === undefined ? undefined : wholePath(files[0]),
    typed: files[0],
    option: (option) => {
      const value = byName.get(option);
      return value === undefined ? undefined : wholePath(value);
    },
  };
}

/** What a task may touch. Throws RangeError for one that nobody has thought about. */
export function permissionsOf(name: string): Permissions {
  const found = permissions[name];
  if (found === undefined) {
    throw new RangeError(`Cannot start: _permissions.ts must say what "${name}" may touch`);
  }
  return found;
}

/** The flags of `deno run` that give a task what it may touch and no more. */
export function flagsOf(name: string, call: Call, deno: string): string[] {
  const { read, write, run, everything, parses = false } = permissionsOf(name);
  if (everything !== undefined) return ["-A"];
  const all = (places: readonly Place[]): string[] => places.flatMap(({ paths }) => paths(call));
  const readable = listOf([...all(read), ...all(write), ...(parses ? [PARSER_READS] : [])], call);
  const written = listOf(all(write).map((path) => firstMissing(path, call)), call);
  const flags = ["--no-prompt", "--allow-env", `--allow-read=${readable.join()}`];
  if (written.length > 0) flags.push(`--allow-write=${written.join()}`);
  if (run !== "none") {
    flags.push(`--allow-run=${[...listOf([deno], call), ...(run === "kernel" ? ["/bin/sh"] : [])].join()}`);
  }
  if (run === "kernel") flags.push("--allow-net=127.0.0.1", `--v8-flags=${LIGHT_V8_FLAGS},--expose-gc`);
  if (parses) {
    flags.push(`--allow-ffi=${listOf([join(call.root, "node_modules", "@rolldown")], call).join()}`);
  }
  return flags;
}

/** A folder that is not there yet is made with those above it: then the topmost of these is what is written to. */
function firstMissing(path: string, { realPath }: Pick<Call, "realPath">): string {
  for (let at = path;; at = dirname(at)) {
    const above = dirname(at);
    if (above === at || realPath(above) !== null) return at;
  }
}

/** Paths with what links make of them, each once. A flag cannot hold a comma: then the folder above is named. */
function listOf(paths: readonly string[], { realPath }: Pick<Call, "realPath">): string[] {
  const withoutComma = (path: string): string => {
    let at = path;
    while (at.includes(",")) at = dirname(at);
    return at;
  };
  const found = paths.flatMap((path) => [path, realPath(path) ?? path]).map(withoutComma);
  return [...new Set(found)];
}

const listed = (places: readonly Place[]): string =>
  places.length === 0 ? "nothing" : places.map(({ words }) => words).join("; ");
const RUNS = {
  none: [],
  deno: ["the pinned Deno"],
  kernel: ["kernels, through `/bin/sh`, heard on loopback"],
} as const;

/** What a task may touch, in words: may read, may write, may start or load. */
function told(name: string): readonly [string, string, string] {
  if (name === "setup") return ["the project", "`node_modules`, `.overiron`", "npm, with the network"];
  const { read, write, run, everything, parses = false } = permissionsOf(name);
  if (everything !== undefined) return [`everything: ${everything}`, "", ""];
  const starts = [...RUNS[run], ...(parses ? ["rolldown's native code"] : [])].join("; ");
  return [listed(read), listed(write), starts === "" ? "nothing" : starts];
}

/** What a task may touch, as its help ends. */
export function permissionText(name: string): string {
  const [read, write, starts] = told(name).map((text) => text.replaceAll("`", ""));
  return write === ""
    ? `May touch ${read}.`
    : `May read: ${read}.\nMay write: ${write}.\nMay start or load: ${starts}.`;
}

/** The table of all tasks and what each may touch, in Markdown. */
export function permissionTable(): string {
  const rows = Object.keys(tasks).sort().map((name) => `| \`${name}\` | ${told(name).join(" | ")} |`);
  return ["| task | may read | may write | may start or load |", "|---|---|---|---|", ...rows].join("\n");
}
