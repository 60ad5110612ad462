import { describe, expect, test } from "vitest";
import {
  type CellOutput,
  type NotebookRun,
  runNotebook,
  type RunNotebookOptions,
  writeNotebook,
} from "../../lib/writeup/mod.ts";
import { notebookOf, root, type ShortCell } from "./_notebooks.ts";

const run = (cells: readonly ShortCell[], options: Partial<RunNotebookOptions> = {}): Promise<NotebookRun> =>
  runNotebook(notebookOf(cells), {
    name: "toy",
    cwd: root,
    hide: [{ path: root, name: "overiron" }],
    ...options,
  });

const outputsOf = (ran: NotebookRun, cell: number): readonly CellOutput[] => {
  const codes = ran.executed.cells.filter((each) => each.cell_type === "code");
  return codes[cell - 1]!.outputs;
};
const plainOf = (ran: NotebookRun, cell: number): unknown => {
  const output = outputsOf(ran, cell).at(-1);
  return output && "data" in output ? (output.data as Record<string, unknown>)["text/plain"] : output;
};
const expected = (code: string): ShortCell => ({ code, tags: ["raises-exception"] });

describe("runNotebook()", () => {
  test("gives a text to the values this kernel drops or hangs on", async () => {
    // 2^60 and 1.5e16: a whole number above 2^53 as a cell's value makes the bare kernel answer nothing, ever.
    const ran = await run([
      "NaN",
      "-0",
      "Infinity",
      "10n",
      "null",
      "1.5e16",
      "2 ** 60",
      "1, 2",
      "undefined",
      "'text'",
    ]);
    const texts = Array.from({ length: 10 }, (_, i) => plainOf(ran, i + 1));
    expect(texts).toEqual(
      [
        "NaN",
        "-0",
        "Infinity",
        "10n",
        "null",
        "15000000000000000",
        "1152921504606847000",
        "2",
        undefined,
        '"text"',
      ],
    );
    expect(ran.failure).toBe(null);
  });

  test("names cell, line and column of a text that cannot be read, and runs none of it", async () => {
    const ran = await run(["console.log(1)", "const a = 1;\n\nconst b = ;"]);
    expect(ran.failure).toEqual({
      cell: 2,
      cellId: "cell-2",
      line: 3,
      name: "SyntaxError",
      message: "Unexpected token",
    });
    expect(outputsOf(ran, 1)).toEqual([]);
    const error = outputsOf(ran, 2)[0]!;
    expect(error).toMatchObject({ output_type: "error", ename: "SyntaxError" });
    expect("traceback" in error && error.traceback).toContain("    at (this cell, line 3, column 11)");
  });

  test("maps an error's lines back through types, blank lines and comments", async () => {
    const ran = await run([
      "interface Trial {\n  gap: number;\n}\n\n\nconst trial: Trial = { gap: 1 };\n/* two\n lines */\nfunction fail(gap: number): never {\n  throw new Error(`bad ${gap}`);\n}\n\nfail(trial.gap)",
    ]);
    expect(ran.failure).toMatchObject({ cell: 1, line: 10, name: "Error", message: "bad 1" });
    const error = outputsOf(ran, 1)[0]!;
    expect("traceback" in error && error.traceback).toEqual([
      "Error: bad 1",
      "    at fail (this cell, line 10)",
      "    at (this cell, line 13)",
    ]);
  });

  test("names the earlier cell in which a function that throws was written", async () => {
    const ran = await run([
      "\n\nfunction deep(): never {\n  throw new Error('from above');\n}",
      "const a = 1;\ndeep()",
    ]);
    expect(ran.failure).toMatchObject({ cell: 2, line: 2, message: "from above" });
    const error = outputsOf(ran, 2)[0]!;
    expect((error as { traceback: string[] }).traceback[1]).toBe("    at deep (cell 1, line 4)");
  });

  test("shows the causes of an error, and what was thrown where it was no Error", async () => {
    const ran = await run([
      expected("throw new Error('outer', { cause: new RangeError('inner', { cause: 'root' }) })"),
      expected("\nthrow { a: 1 }"),
    ]);
    expect(outputsOf(ran, 1)[0]).toMatchObject({
      traceback: [
        "Error: outer",
        "    at (this cell, line 1)",
        "caused by RangeError: inner",
        'caused by "root"',
      ],
    });
    expect(outputsOf(ran, 2)[0]).toMatchObject({
      ename: "Thrown",
      traceback: ["Thrown: A value that is no Error: { a: 1 }", "    at (this cell, line 2)"],
    });
  });

  test("reports a rejection nobody awaited and an error thrown after the cell", async () => {
    const rejected = await run(["1;\nPromise.reject(new TypeError('alone')); 2"]);
    expect(rejected.failure).toMatchObject({ cell: 1, line: 2, name: "TypeError" });
    expect(rejected.failure!.message).toBe("alone (a promise that nobody awaited was rejected)");
    const later = await run([
      "setTimeout(() => { throw new Error('later'); }, 300); 1",
      "await new Promise((resolve) => setTimeout(resolve, 600)); 2",
    ]);
    expect(later.failure).toMatchObject({ cell: 2, name: "Error" });
    expect(later.failure!.message).toBe("later (an error was thrown after the cell had ended)");
  });

  test("reports a named import that is not there, but not a type imported by name", async () => {
    const missing = await run(["import { present, presnet } from 'overiron';\npresnet"]);
    expect(missing.failure).toMatchObject({ cell: 1, line: 1, name: "SyntaxError" });
    expect(missing.failure!.message).toMatch(/^Cannot import presnet: overiron has no such export/);
    const type = await run([
      "import { Estimate, absent } from 'overiron';\nconst e: Estimate = absent('a', 'b', {}); 'fine'",
    ]);
    expect(type.failure).toBe(null);
  });

  test("reports a module that is not there", async () => {
    const ran = await run(["const a = 1;\nimport nothing from 'no-such-module';\nnothing"]);
    expect(ran.failure).toMatchObject({ cell: 1, line: 2, name: "TypeError" });
    expect(ran.failure!.message).toContain("no-such-module");
    expect(ran.failure!.message).not.toContain(root);
  });

  test("imports defaults, namespaces, renamed names and attributes as written", async () => {
    const ran = await run([
      "import path, { join as glue } from 'node:path';\nimport * as all from 'node:path';\nimport pack from './package.json' with { type: 'json' };\nimport 'node:os';",
      "[path.join('a', 'b'), glue('c', 'd'), all.join('e', 'f'), pack.name].join(' ')",
    ]);
    expect(ran.failure).toBe(null);
    expect(plainOf(ran, 2)).toBe('"a/b c/d e/f overiron"');
  });

  test("joins the pieces of a stream and takes in what is written straight to it", async () => {
    const ran = await run([
      "console.log(1); process.stdout.write('2\\n'); console.log(3); console.error(4); 5",
    ]);
    expect(outputsOf(ran, 1)).toEqual([
      { output_type: "stream", name: "stdout", text: "1\n2\n3\n" },
      { output_type: "stream", name: "stderr", text: "4\n" },
      { output_type: "execute_result", execution_count: 1, data: { "text/plain": "5" }, metadata: {} },
    ]);
  });

  test("ends a cell or a notebook that takes too long and keeps what came before", async () => {
    const cell = await run(["console.log('kept')", "await new Promise(() => {})", "3"], {
      cellTimeoutMs: 600,
    });
    expect(cell.failure).toMatchObject({ cell: 2, line: null, name: "TimedOut" });
    expect(cell.failure!.message).toBe("The cell took longer than the 0.6 s it may take");
    expect(outputsOf(cell, 1)).toHaveLength(1);
    const whole = await run(["1", "await new Promise(() => {})"], { runTimeoutMs: 1500 });
    expect(whole.failure!.message).toBe("The notebook took longer than the 1.5 s it may take");
  });

  test("survives a cell that ends the kernel and one that floods it, tagged or not", async () => {
    const gone = await run([expected("Deno.exit(0)"), "2"]);
    expect(gone.failure).toMatchObject({ cell: 1, name: "KernelEnded" });
    const flood = await run(["console.log('x'.repeat(2e6))"], { outputCapBytes: 1_000_000 });
    expect(flood.failure!.message).toBe(
      "The cell's output is larger than 1 MB: write it to a file and show a part of it",
    );
  });

  test("sets parameters in a cell of their own and refuses what the notebook does not declare", async () => {
    const cells: ShortCell[] = [
      { code: 'const data = "../data";\nconst rows = -3;', tags: ["parameters"] },
      "`${data} ${rows}`",
    ];
    const ran = await run(cells, { parameters: { data: "elsewhere", rows: 7 } });
    expect(plainOf(ran, 3)).toBe('"elsewhere 7"');
    expect(ran.executed.cells[1]).toMatchObject({
      metadata: { tags: ["injected-parameters"] },
      source: 'const data = "elsewhere";\nconst rows = 7;',
    });
    expect(plainOf(await run(cells), 2)).toBe('"../data -3"');
    await expect(run(cells, { parameters: { other: 1 } })).rejects.toThrow(
      new RangeError("Cannot set parameter other: the notebook declares only data, rows, got other"),
    );
    await expect(run(cells, { parameters: { data: 1 } })).rejects.toThrow(
      new TypeError("Cannot set parameter data: it must be a string, got a number"),
    );
    await expect(run(["1"], { parameters: { data: "x" } })).rejects.toThrow(
      new RangeError('Cannot set parameter data: no cell of the notebook has the tag "parameters"'),
    );
  });

  test("leaves out cells tagged skip-execution and goes on past an expected error", async () => {
    const ran = await run([
      { code: "throw new Error('never run')", tags: ["skip-execution"] },
      expected("throw new Error('known')"),
      "3",
    ]);
    expect(ran.failure).toBe(null);
    expect(outputsOf(ran, 1)).toEqual([]);
    expect(outputsOf(ran, 2)[0]).toMatchObject({ output_type: "error", evalue: "known" });
    expect(plainOf(ran, 3)).toBe("3");
  });

  test("collects what cells record and names the notebook; predictions do not stay in the notebook", async () => {
    const ran = await run([
      "import { counted, predictions, say, stated, tally } from 'overiron';",
      "say`${stated('season.signals', {}, counted(3, { signals: 3 }))} signals`",
      "tally({ id: 'season.signals', unit: 'signals', caption: 'c', rowTitle: 'r', rows: ['a'], columns: ['b'], counts: [[2]] })",
      "predictions([{ signal: 's1', outcome: 'ferrous', fold: '1', model: 'm', ferrous: 1, nonFerrous: 0, maskedGood: 0 }])",
    ]);
    expect(ran.failure).toBe(null);
    expect(ran.results).toEqual([{
      id: "season.signals",
      unit: "count",
      value: 3,
      interval: { low: 3, high: 3, level: 1, method: "counted, not estimated" },
      n: { signals: 3 },
      notebook: "toy",
    }]);
    expect(ran.tables).toEqual([
      {
        id: "season.signals",
        of: { unit: "signals" },
        rows: ["a"],
        columns: ["b"],
        counts: [[2]],
        n: 2,
        notebook: "toy",
      },
    ]);
    expect(ran.predictions).toHaveLength(1);
    expect(writeNotebook(ran.executed)).not.toContain('maskedGood":');
  });

  test("works from its own folder, writes no path of the machine, and gives the same bytes twice", async () => {
    const folder = await Deno.makeTempDir();
    const cells = [
      "console.log(Deno.cwd()); new Error('x').stack",
      "Math.random()",
      expected("await Deno.readTextFile('none.csv')"),
    ];
    const hide = [{ path: root, name: "overiron" }, { path: await Deno.realPath(folder), name: "write-up" }];
    const options = { workingFolder: await Deno.realPath(folder), hide, seed: 4 };
    const [a, b] = [
      writeNotebook((await run(cells, options)).executed),
      writeNotebook((await run(cells, options)).executed),
    ];
    await Deno.remove(folder);
    expect(a).toBe(b);
    expect(a).toContain('"write-up\\n"');
    expect(a).not.toContain(folder);
    expect(a).not.toContain(root);
  });

  test("a cell may read and nothing else, and cannot ask for more", async () => {
    const place = await Deno.makeTempDir();
    try {
      const path = JSON.stringify(`${place}/written`);
      const refused = {
        write: `await Deno.writeTextFile(${path}, "x")`,
        net: 'Deno.listen({ hostname: "127.0.0.1", port: 0 })',
        import: 'await import("https://example.invalid/a.ts")',
        run: 'await new Deno.Command(Deno.execPath(), { args: ["--version"] }).output()',
        env: 'Deno.env.get("HOME")',
        sys: "Deno.hostname()",
        ffi: 'Deno.dlopen("/lib/libc.so.6", {})',
      };
      const asked = Object.keys(refused).map((name) =>
        `Deno.permissions.requestSync({ name: "${name}" }).state`
      );
      const ran = await run([
        `Deno.statSync(${JSON.stringify(root)}).isDirectory`,
        `[${asked.join(", ")}].join()`,
        ...Object.values(refused).map(expected),
        { code: `import fs from "node:fs";\nfs.writeFileSync(${path}, "x");`, tags: ["raises-exception"] },
        `await new Promise((resolve) => {
  const text = "try { Deno.writeTextFileSync(" + JSON.stringify(${path}) + ", 'x'); postMessage('wrote'); } " +
    "catch (error) { postMessage(error.name); }";
  new Worker("data:application/javascript," + encodeURIComponent(text), { type: "module" }).onmessage = (event) => resolve(event.data);
})`,
      ]);
      expect(ran.failure).toBe(null);
      expect(plainOf(ran, 1)).toBe("true");
      expect(plainOf(ran, 2)).toBe(`"${Object.keys(refused).map(() => "denied").join()}"`);
      for (const [at, name] of [...Object.keys(refused), "write"].entries()) {
        const [output] = outputsOf(ran, at + 3);
        expect(output).toMatchObject({ output_type: "error" });
        expect((output as { evalue: string }).evalue).toMatch(
          new RegExp(`Requires ${name} access.*: a notebook may read files, and no more$`),
        );
      }
      expect(plainOf(ran, 11)).toBe('"NotCapable"');
      expect([...Deno.readDirSync(place)]).toEqual([]);
    } finally {
      await Deno.remove(place, { recursive: true });
    }
  });

  test("a display method that throws fails its cell, though the kernel's reply says ok", async () => {
    const ran = await run([
      "1;\n({ [Symbol.for('Jupyter.display')]() { throw new TypeError('no picture'); } })",
      "2",
    ]);
    expect(ran.failure).toMatchObject({ cell: 1, name: "TypeError", message: "no picture" });
    expect(outputsOf(ran, 2)).toEqual([]);
  });

  test("text written late by a timer is shown, under the cell that runs at that moment, and the run goes on", async () => {
    const ran = await run([
      "setTimeout(() => console.log('late'), 300); 1",
      "await new Promise((resolve) => setTimeout(resolve, 600)); 2",
    ]);
    expect(ran.failure).toBe(null);
    expect(outputsOf(ran, 1).map(({ output_type }) => output_type)).toEqual(["execute_result"]);
    expect(outputsOf(ran, 2)).toMatchObject([{ output_type: "stream", text: "late\n" }, {
      output_type: "execute_result",
    }]);
  });

  test("what bypasses the notebook does not break it: bytes on the kernel's own output, a worker's console", async () => {
    const worker = "data:application/javascript," +
      encodeURIComponent("console.log('worker'); postMessage(3);");
    const ran = await run([
      "Deno.stdout.writeSync(new TextEncoder().encode('raw\\n')); console.log('said'); 1",
      `await new Promise((go) => { new Worker(${
        JSON.stringify(worker)
      }, { type: "module" }).onmessage = (event) => go(event.data); })`,
    ]);
    expect(ran.failure).toBe(null);
    // Nothing of it is in the notebook, which says what it shows: results and console.log of a cell are.
    expect(outputsOf(ran, 1)).toMatchObject([{ output_type: "stream", text: "said\n" }, {
      output_type: "execute_result",
    }]);
    expect(plainOf(ran, 2)).toBe("3");
  });

  test("a magic of another kernel is a fault with its line, never silence", async () => {
    const ran = await run(["const a = 1;\n%time a"]);
    expect(ran.failure).toMatchObject({ cell: 1, line: 2, name: "SyntaxError" });
  });

  test("tells how far it is", async () => {
    const told: string[] = [];
    await run(["1", { code: "2", tags: ["skip-execution"] }, "throw new Error('x')"], {
      onProgress: ({ cell, cells, state }) => told.push(`${cell}/${cells} ${state}`),
    });
    expect(told).toEqual(["1/3 started", "1/3 done", "2/3 skipped", "3/3 started", "3/3 failed"]);
  });
});
