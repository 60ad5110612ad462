import type { Progress } from "../writeup/mod.ts";

/** Prints a run's progress: one line that is written over on a terminal, plain lines elsewhere. */
export interface ProgressPrinter {
  readonly show: (progress: Progress) => void;
  /** Leaves the terminal on a fresh line. */
  readonly end: () => void;
}

/** Makes a printer for standard error. */
export function progressPrinter(): ProgressPrinter {
  const terminal = Deno.stderr.isTerminal();
  const encoder = new TextEncoder();
  const at = new Map<string, string>();
  let width = 0;
  const write = (text: string): void => {
    Deno.stderr.writeSync(encoder.encode(text));
  };
  return {
    show(progress) {
      const { notebook, cell, cells, state, ms } = progress;
      const seconds = `${(ms / 1000).toFixed(1)} s`;
      if (!terminal) {
        if (state !== "started") write(`${notebook}: cell ${cell} of ${cells} ${state}, ${seconds}\n`);
        return;
      }
      if (state === "done" && cell === cells) at.delete(notebook);
      else at.set(notebook, `${notebook} ${cell}/${cells}`);
      const text = [...at.values()].join("   ").slice(0, 78);
      write(`\r${text.padEnd(width)}`);
      width = text.length;
    },
    end() {
      if (terminal && width > 0) write(`\r${" ".repeat(width)}\r`);
    },
  };
}
