import { basename } from "node:path";
import {
  type Duplicate,
  type LogToMerge,
  type MachinesToMerge,
  type MergedLog,
  mergeLogs,
  mergeMachines,
} from "../log/mod.ts";
import { type CommandLine, CommandLineFault, fromHere, readCommandLine } from "./_command_line.ts";
import { digLogFiles, readMachines, readMapping } from "./_read_logs.ts";
import { readingOptionsOf } from "./_reading_options.ts";
import { runTask, say } from "./_run.ts";
import { writeOut } from "./_write_out.ts";

const plural = (count: number, word: string): string => `${count} ${word}${count === 1 ? "" : "s"}`;

const KINDS: Readonly<Record<Duplicate["kind"], string>> = {
  identical: "The same to the letter (the second was left out unless they were to be kept)",
  changed: "One id, day and site, but other cells (both kept: which is right?)",
  alike: "One place, minute and readings under two ids (both kept: is one of them the other?)",
};

await runTask(async (args) => {
  const line = readCommandLine("merge-logs", args);
  const { out, "machines-out": machinesOut } = line.values;
  if (line.files.length < 2) throw new CommandLineFault("Cannot merge: name two logs or more");
  if (out === undefined) throw new CommandLineFault("Cannot merge: name the file to write with --out FILE");
  const named = line.files.map(nameAndPath);
  const names = new Set(named.map(({ name }) => name));
  if (names.size < named.length) {
    throw new CommandLineFault(
      `Cannot merge: two logs have one name (${
        named.map(({ name }) => name).join(", ")
      }); write NAME=FILE to give each its own, the same at every merge`,
    );
  }
  const reading = readingOptionsOf(line);
  const observers = perLog(line, "observers", names), mappings = perLog(line, "columns", names);
  await refuseExisting(out);
  if (machinesOut !== undefined) await refuseExisting(machinesOut);

  const logs: LogToMerge[] = [], machines: MachinesToMerge[] = [];
  for (const { name, path } of named) {
    const found = await readMachines(undefined, fromHere(path), reading);
    if (found !== null) machines.push({ name, machines: found.machines });
    const [only, other] = found?.machines.machines ?? [];
    const observer = observers.get(name), mapping = mappings.get(name);
    const columns = mapping === undefined
      ? undefined
      : (await readMapping(fromHere(mapping), reading)).mapping;
    logs.push({
      name,
      files: await digLogFiles(fromHere(path), reading),
      ...(observer === undefined ? {} : { observer }),
      ...(columns === undefined ? {} : { columns }),
      ...(only !== undefined && other === undefined ? { machine: only.machine } : {}),
    });
  }
  const allMachines = machines.length === 0 ? null : mergeMachines(machines);
  if (machinesOut !== undefined && allMachines === null) {
    throw new CommandLineFault("Cannot use --machines-out: no log has a machines file beside it");
  }
  const { followLinks: _, ...tableOptions } = reading;
  const merged = await mergeLogs(logs, {
    ...tableOptions,
    keepIdentical: line.switches.has("keep-identical"),
  });
  await writeOut({
    [fromHere(out)]: merged.text,
    ...(machinesOut === undefined
      ? {}
      : { [fromHere(machinesOut)]: `${JSON.stringify(allMachines, null, 2)}\n` }),
  }, { fresh: true });
  if (line.switches.has("json")) console.log(JSON.stringify(forMachines(merged), null, 2));
  else console.log(summary(merged));
  say(
    `Wrote ${out}: ${merged.rows} signals of ${logs.length} logs.${
      machinesOut !== undefined || machines.length < 2
        ? ""
        : " It needs the machines of them all in one file: --machines-out FILE writes it."
    }`,
  );
  return 0;
});

/** "NAME=FILE", or a file that is named after itself. */
function nameAndPath(text: string): { name: string; path: string } {
  const match = /^([A-Za-z0-9][A-Za-z0-9._-]{0,39})=(.+)$/.exec(text);
  if (match !== null) return { name: match[1]!, path: match[2]! };
  const stem = basename(text).replace(/\.[^.]*$/, "").replace(/[^A-Za-z0-9._-]+/g, "-").replace(
    /^[^A-Za-z0-9]+/,
    "",
  );
  if (stem === "") throw new CommandLineFault(`Cannot name "${text}": write NAME=FILE`);
  return { name: stem.slice(0, 40), path: text };
}

/** An option with a value a log: NAME=VALUE, with a comma between several. */
function perLog(line: CommandLine, option: string, names: ReadonlySet<string>): ReadonlyMap<string, string> {
  const values = new Map<string, string>();
  for (const part of (line.values[option] ?? "").split(",").filter((each) => each.trim() !== "")) {
    const match = /^\s*([^=]+?)\s*=\s*(.+?)\s*$/.exec(part);
    if (match === null || !names.has(match[1]!)) {
      throw new CommandLineFault(
        `Cannot use --${option}: it must be NAME=VALUE with the name of a log (${
          [...names].join(", ")
        }), got "${part}"`,
      );
    }
    values.set(match[1]!, match[2]!);
  }
  return values;
}

async function refuseExisting(path: string): Promise<void> {
  if (await Deno.lstat(fromHere(path)).catch(() => null) === null) return;
  throw new CommandLineFault(`Cannot write ${path}: it is there already, and no log is ever written over`);
}

function summary({ parts, duplicates }: MergedLog): string {
  const lines: string[] = [];
  for (const { name, rows, written, identical, blank, leftOut, madeOutings, observers } of parts) {
    lines.push(
      `${name}: ${
        plural(rows, "row")
      } in: ${written} written, ${identical} identical, ${leftOut.length} left out, ${blank} blank`,
    );
    if (madeOutings > 0) {
      lines.push(
        `  ${
          plural(madeOutings, "outing")
        } made for rows that name none: those of one site, day, machine and observer of this log`,
      );
    }
    for (const [observer, count] of observers) {
      lines.push(
        `  ${plural(count, "signal")} ${observer === "" ? "without an observer" : `by ${observer}`}`,
      );
    }
    for (const { file, line, reason } of leftOut) lines.push(`  left out: ${file}, line ${line}: ${reason}`);
  }
  for (const kind of ["identical", "changed", "alike"] as const) {
    const own = duplicates.filter((each) => each.kind === kind);
    if (own.length === 0) continue;
    lines.push("", `${KINDS[kind]}: ${own.length}`);
    for (const { first, second } of own) {
      lines.push(
        `  ${first.signal_id} (${first.file}, line ${first.line}) and ${second.signal_id} (${second.file}, line ${second.line})`,
      );
    }
  }
  return lines.join("\n");
}

function forMachines({ headings, rows, parts, duplicates }: MergedLog): unknown {
  return {
    rows,
    headings,
    parts: parts.map((part) => ({
      ...part,
      observers: [...part.observers].map(([observer, signals]) => ({ observer, signals })),
    })),
    duplicates,
  };
}
