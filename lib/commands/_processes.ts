/** A process of this machine, as /proc tells it (proc(5)). */
export interface Process {
  readonly pid: number;
  readonly parent: number;
  /** Its command line, split by spaces. */
  readonly command: string;
}

/** All processes that can be seen, in the order of their numbers. Linux alone; throws NotFound elsewhere. */
export function processes(): Process[] {
  return [...Deno.readDirSync("/proc")].filter(({ name }) => /^\d+$/.test(name)).flatMap(({ name }) => {
    try {
      // The name in brackets may hold anything, so the fields are counted from the last bracket on: state, parent.
      const stat = Deno.readTextFileSync(`/proc/${name}/stat`);
      const [state, parent] = stat.slice(stat.lastIndexOf(")") + 2).split(" ");
      // One that has ended and was not yet asked for its status runs no more.
      if (state === "Z" || state === "X") return [];
      const command = Deno.readTextFileSync(`/proc/${name}/cmdline`).replaceAll("\0", " ").trim();
      return [{ pid: Number(name), parent: Number(parent), command }];
    } catch {
      // It ended while we looked.
      return [];
    }
  }).sort((a, b) => a.pid - b.pid);
}

/** A process and all that it started, and so on, in the order of their numbers. */
export function treeOf(pid: number): Process[] {
  const all = processes();
  const found = new Set([pid]);
  for (let before = 0; before < found.size;) {
    before = found.size;
    for (const each of all) if (found.has(each.parent)) found.add(each.pid);
  }
  return all.filter((each) => found.has(each.pid));
}

/** Processes whose command line names a text. */
export const processesNaming = (text: string): Process[] =>
  processes().filter(({ command, pid }) => pid !== Deno.pid && command.includes(text));
