import { OPENED_DATA } from "../log/mod.ts";
import { libraryLoader } from "./_kernel_library.ts";
import type { Prepared } from "./run_notebook.ts";

/** Names under which the prologue leaves its helpers in the kernel: symbols, so that no cell meets them by accident. */
export const HELPERS = {
  load: 'globalThis[Symbol.for("overiron.load")]',
  value: 'globalThis[Symbol.for("overiron.value")]',
  thrown: 'globalThis[Symbol.for("overiron.thrown")]',
} as const;

/**
 * What a kernel gives up before the first cell. `deno jupyter` takes no permission flags and may do everything; a permission
 * that was revoked cannot be had again, since nobody can be asked. Reading stays: the library is read as it is imported.
 */
export const GIVEN_UP = ["write", "net", "import", "run", "env", "sys", "ffi"] as const;

/**
 * The code that runs before the first cell. It makes the kernel tell what it otherwise swallows: rejections and errors
 * nobody caught, missing named imports, values that have no text (NaN, -0, Infinity, bigint, null) or that would hang it
 * (whole numbers above 2^53), text written straight to the standard output, and the causes of an error. The kernel keeps each
 * value that it was given to show or to log for its life, so it is given what is written of it instead. At its end the kernel
 * gives up every permission but to read. `library`, where there is one, is loaded where a cell imports `overiron`;
 * `opened`, where there is one, holds what `openData` gives of the folder `../data`.
 */
export function prologue(
  workingFolder: string | null,
  prepared: Prepared = {},
): string {
  const { library = null, opened = null } = prepared;
  return `{
const late = [];
let thrown = null;
const define = (name, value) => Object.defineProperty(globalThis, Symbol.for("overiron." + name), { value });
const describe = (error) => error instanceof Error
  ? { name: error.name, message: error.message, stack: String(error.stack ?? ""), cause: causes(error) }
  : { name: "Thrown", message: "A value that is no Error: " + Deno.inspect(error), stack: "", cause: [] };
const causes = (error) => {
  const found = [];
  for (let next = error.cause; next !== undefined && found.length < 5; next = next?.cause) {
    found.push(next instanceof Error ? next.name + ": " + next.message : Deno.inspect(next));
  }
  return found;
};
globalThis.addEventListener("unhandledrejection", (event) => {
  event.preventDefault();
  late.push({ ...describe(event.reason), how: "a promise that nobody awaited was rejected" });
});
globalThis.addEventListener("error", (event) => {
  event.preventDefault();
  late.push({ ...describe(event.error), how: "an error was thrown after the cell had ended" });
});
const { broadcast, format } = Deno.jupyter;
define("barrier", (id) => {
  const report = { id, late: late.splice(0), thrown };
  thrown = null;
  return broadcast("overiron_barrier", report);
});
define("thrown", function helperOfThrown(error) {
  thrown = describe(error);
  if (thrown.stack === "") thrown.stack = new Error().stack;
  return error;
});
const textOf = (value) => {
  if (value === null) return "null";
  if (typeof value === "bigint") return value + "n";
  if (typeof value !== "number") return null;
  if (Object.is(value, -0)) return "-0";
  return Number.isFinite(value) && Math.abs(value) <= Number.MAX_SAFE_INTEGER ? null : String(value);
};
define("value", async function helperOfValue(value) {
  if (value === undefined) return undefined;
  const text = textOf(value);
  let forms = text === null ? await format(value) : { "text/plain": text };
  return { [Symbol.for("Jupyter.display")]() {
    const told = forms;
    forms = {};
    return told;
  } };
});
${
    library === null
      ? ""
      : `let library = null;\nconst libraryOnce = () => library ??= (${libraryLoader})(${
        JSON.stringify(library)
      });`
  }
define("load", async function helperOfLoad(specifier, names, options) {
  const module = ${
    library === null ? "" : `specifier === "overiron" ? libraryOnce() : `
  }await import(specifier, options);
  for (const name of names) {
    if (name in module) continue;
    const has = Object.keys(module).sort().join(", ");
    throw new SyntaxError("Cannot import " + name + ": " + specifier + " has no such export" +
      (has.length < 400 ? ", it has " + has : ""));
  }
  return module;
});
const { inspectArgs } = Deno[Deno.internal];
for (const name of ["log", "info", "debug", "warn", "error"]) {
  const write = console[name];
  console[name] = function helperOfConsole(...values) {
    write.call(console, "%s", inspectArgs(values, { colors: false }));
  };
}
for (const [stream, name] of [[process.stdout, "stdout"], [process.stderr, "stderr"]]) {
  stream.write = (chunk, encoding, done) => {
    void broadcast("stream", { name, text: typeof chunk === "string" ? chunk : new TextDecoder().decode(chunk) });
    const callback = typeof encoding === "function" ? encoding : done;
    callback?.();
    return true;
  };
}
${workingFolder === null ? "" : `Deno.chdir(${JSON.stringify(workingFolder)});`}
${opened === null ? "" : openedHelper(opened)}
for (const name of ${JSON.stringify(GIVEN_UP)}) {
  if (Deno.permissions.revokeSync({ name }).state === "granted") throw new Error("Cannot give up the permission " + name);
}
}
undefined;
`;
}

/** Gives the data folder's contents anew each time they are asked for, and nothing of any other folder. */
const openedHelper = (path: string): string =>
  `{
const { resolve } = process.getBuiltinModule("node:path"), { deserialize } = process.getBuiltinModule("node:v8");
const data = resolve("../data");
define(${JSON.stringify(OPENED_DATA.replace("overiron.", ""))}, (folder) =>
  typeof folder === "string" && resolve(folder) === data ? deserialize(Deno.readFileSync(${
    JSON.stringify(path)
  })) : null);
}`;
