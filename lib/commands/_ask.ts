import { type MappingPatch, type MappingQuestion, patchLines } from "../log/mod.ts";
import { tame } from "./_tame.ts";

/** A terminal, or what stands in for one. `read` gives the next line without its end, or null when there is no more. */
export interface Terminal {
  write(text: string): void;
  read(): string | null;
}

/** The terminal of this process, or null where it has none: a script is never asked. */
export function ownTerminal(): Terminal | null {
  if (!Deno.stdin.isTerminal() || !Deno.stderr.isTerminal()) return null;
  const decoder = new TextDecoder(), encoder = new TextEncoder();
  let rest = "", ended = false;
  return {
    write: (text) => void Deno.stderr.writeSync(encoder.encode(text)),
    read() {
      const bytes = new Uint8Array(1024);
      for (;;) {
        const end = rest.indexOf("\n");
        if (end >= 0) {
          const line = rest.slice(0, end);
          rest = rest.slice(end + 1);
          return line.replace(/\r$/, "");
        }
        if (ended) return null;
        const read = Deno.stdin.readSync(bytes);
        if (read === null) ended = true;
        else rest += decoder.decode(bytes.subarray(0, read), { stream: true });
        if (ended && rest !== "" && !rest.includes("\n")) rest += "\n";
      }
    },
  };
}

/** Asks one question at a terminal until it is answered: the lines for the mapping, or null to stop. */
export function askAt(terminal: Terminal, question: MappingQuestion): MappingPatch | null {
  const { text, samples, options, constant } = question;
  terminal.write(`\n${tame(text)}\n`);
  for (const sample of samples) terminal.write(`    ${tame(sample.replaceAll("\n", " "))}\n`);
  options.forEach(({ label }, i) => terminal.write(`  ${i + 1}  ${tame(label)}\n`));
  const ways = [
    ...(options.length > 0 ? [`a number from 1 to ${options.length}`] : []),
    ...(constant === undefined ? [] : ["the words themselves"]),
  ].join(", or ");
  for (;;) {
    terminal.write(`Answer with ${ways} (q to stop): `);
    const line = terminal.read()?.trim();
    if (line === undefined || line.toLowerCase() === "q") return null;
    const number = /^\d{1,3}$/.test(line) ? Number(line) : 0;
    const chosen = options[number - 1];
    if (chosen !== undefined) {
      for (const each of patchLines(chosen.patch)) terminal.write(`  noted ${tame(each)}\n`);
      return chosen.patch;
    }
    if (constant !== undefined && line !== "") return { constants: { [constant]: line } };
  }
}
