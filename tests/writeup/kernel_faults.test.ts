import { describe, expect, test } from "vitest";
import { readNotebook, writeNotebook } from "../../lib/writeup/mod.ts";
import { root } from "./_notebooks.ts";
import { expected, outputsOf, plainOf, runCells as run, shownBy } from "./_run_cells.ts";

// What `deno jupyter` 2.9.6 gets wrong or leaves out, one thing a test: what the bare kernel does is said first. Faults that
// can be seen below the notebook (lost outputs, a wedged or ended kernel, mixed messages) are in kernel.test.ts.
describe("a cell's value", () => {
  // Not a number that is a whole one above 2^53: those make the bare kernel answer nothing, ever.
  test.each([
    ["NaN", "NaN"],
    ["-0", "-0"],
    ["Infinity", "Infinity"],
    ["10n", "10n"],
    ["null", "null"],
  ])("%s is dropped without a word: it is shown", async (code, text) => {
    const ran = await run([code]);
    expect(ran.failure).toBe(null);
    expect(plainOf(ran, 1)).toBe(text);
  });

  test.each([
    ["1.5e16", "15000000000000000"],
    ["2 ** 60", "1152921504606847000"],
    ["-(2 ** 60)", "-1152921504606847000"],
  ])("%s is never answered: it is shown", async (code, text) => {
    const ran = await run([code, "1, 2"], { cellTimeoutMs: 10_000 });
    expect(ran.failure).toBe(null);
    expect([plainOf(ran, 1), plainOf(ran, 2)]).toEqual([text, "2"]);
  });

  test("undefined shows nothing, a text its quotes, a promise itself", async () => {
    const ran = await run(["undefined", "'text'", "Promise.resolve(3)"]);
    expect(ran.failure).toBe(null);
    expect(outputsOf(ran, 1)).toEqual([]);
    expect(plainOf(ran, 2)).toBe('"text"');
    expect(plainOf(ran, 3)).toBe("Promise { 3 }");
  });

  test("an object is written in colours: none are in the notebook", async () => {
    expect(plainOf(await run(["({ a: 1, b: 'x' })"]), 1)).toBe('{ a: 1, b: "x" }');
  });

  test.each([
    ["shown at a cell's end", (value: string) => value],
    ["shown by display()", (value: string) => `await Deno.jupyter.display(${value})`],
    ["logged", (value: string) => `console.log(${value})`],
  ])("%s is kept for the kernel's life: its memory is given back", async (_, show) => {
    // Kept, the twenty arrays take 800 MB beside what the kernel has at its start.
    const resident = "Math.round(Deno.memoryUsage().rss / 1e6)";
    const ran = await run([resident, ...Array(20).fill(show("new Float64Array(5e6).fill(1)")), resident]);
    expect(ran.failure).toBe(null);
    expect(JSON.stringify(outputsOf(ran, 2))).toContain("Float64Array(5000000)");
    expect(Number(plainOf(ran, 22)) - Number(plainOf(ran, 1))).toBeLessThan(400);
  });

  test("a display method that throws gets the reply ok: the cell fails, with its line", async () => {
    const ran = await run([
      "1;\n({ [Symbol.for('Jupyter.display')]() { throw new TypeError('no picture'); } })",
      "2",
    ]);
    expect(ran.failure).toMatchObject({ cell: 1, name: "TypeError", message: "no picture" });
    expect(outputsOf(ran, 2)).toEqual([]);
  });

  test("a drawing of Plot has no namespace, and no program shows it as a picture: it gets both, once", async () => {
    const ran = await run([
      `import * as Plot from "@observablehq/plot";
import { parseHTML } from "linkedom";
const { document } = parseHTML("<html></html>");
Plot.dot([[1, 2]]).plot({ document })`,
      "Deno.jupyter.svg`<svg width='1' title=\" xmlns= > \"><use xlink:href='#a'/></svg>`",
      "Deno.jupyter.svg`<?xml version='1.0'?><svg xmlns='http://www.w3.org/2000/svg'></svg>`",
    ]);
    expect(ran.failure).toBe(null);
    const drawings = [1, 2, 3].map((cell) => String(shownBy(ran, cell, "image/svg+xml")));
    expect(drawings[0]).toMatch(/^<svg xmlns="http:\/\/www\.w3\.org\/2000\/svg" viewBox=[^>]*>[^]*<circle /);
    expect(drawings[1]).toBe(
      `<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width='1' title=" xmlns= > "><use xlink:href='#a'/></svg>`,
    );
    expect(drawings[2]).toBe("<?xml version='1.0'?><svg xmlns='http://www.w3.org/2000/svg'></svg>");
    // So it is in the file that other programs read.
    expect(readNotebook(writeNotebook(ran.executed)).cells[0]).toMatchObject({
      outputs: [{ data: { "image/svg+xml": drawings[0] } }],
    });
  });
});

describe("a cell that cannot be run", () => {
  test("a fault of its text is answered without a word: cell, line and column are named, and nothing is run", async () => {
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

  test("a magic of another kernel is answered without a word: it is a fault with its line", async () => {
    const ran = await run(["const a = 1;\n%time a"]);
    expect(ran.failure).toMatchObject({ cell: 1, line: 2, name: "SyntaxError" });
  });

  test("a package that is not installed is answered without a word: it is named, with the line", async () => {
    const ran = await run([
      "const a = 1;\n\nimport fill from 'npm:overiron-has-no-such-package@1.0.0';\nfill",
    ]);
    expect(ran.failure).toMatchObject({ cell: 1, line: 3 });
    expect(ran.failure!.message).toContain("overiron-has-no-such-package");
    expect(ran.failure!.message).not.toContain(root);
  });

  test("a module that is not there is named, with the line and without its path", async () => {
    const ran = await run(["const a = 1;\nimport nothing from 'no-such-module';\nnothing"]);
    expect(ran.failure).toMatchObject({ cell: 1, line: 2, name: "TypeError" });
    expect(ran.failure!.message).toContain("no-such-module");
    expect(ran.failure!.message).not.toContain(root);
  });

  test("a named import that is not there is undefined in silence: it is a fault, but a type imported by name is none", async () => {
    const missing = await run(["import { present, presnet } from 'overiron';\npresnet"]);
    expect(missing.failure).toMatchObject({ cell: 1, line: 1, name: "SyntaxError" });
    expect(missing.failure!.message).toMatch(/^Cannot import presnet: overiron has no such export/);
    const type = await run([
      "import { Estimate, absent } from 'overiron';\nconst e: Estimate = absent('a', 'b', {}); 'fine'",
    ]);
    expect(type.failure).toBe(null);
  });

  test("nobody can be asked anything: a question is answered with nothing at once", async () => {
    const ran = await run(["prompt('a name?')", "confirm('sure?')"], { cellTimeoutMs: 10_000 });
    expect(ran.failure).toBe(null);
    expect([plainOf(ran, 1), plainOf(ran, 2)]).toEqual(["null", "false"]);
  });
});

describe("an error", () => {
  test("has the lines of other code: they are mapped back through types, blank lines and comments", async () => {
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

  test("has the same name for every cell: the one in which the function was written is named", async () => {
    const ran = await run([
      "\n\nfunction deep(): never {\n  throw new Error('from above');\n}",
      "const a = 1;\ndeep()",
    ]);
    expect(ran.failure).toMatchObject({ cell: 2, line: 2, message: "from above" });
    const error = outputsOf(ran, 2)[0]!;
    expect((error as { traceback: string[] }).traceback[1]).toBe("    at deep (cell 1, line 4)");
  });

  test("has no cause: all of them are shown", async () => {
    const ran = await run([
      expected("throw new Error('outer', { cause: new RangeError('inner', { cause: 'root' }) })"),
    ]);
    expect(outputsOf(ran, 1)[0]).toMatchObject({
      traceback: [
        "Error: outer",
        "    at (this cell, line 1)",
        "caused by RangeError: inner",
        'caused by "root"',
      ],
    });
  });

  test("that is no Error reads [object Object]: what was thrown is shown", async () => {
    const ran = await run([expected("\nthrow { a: 1 }")]);
    expect(outputsOf(ran, 1)[0]).toMatchObject({
      ename: "Thrown",
      traceback: ["Thrown: A value that is no Error: { a: 1 }", "    at (this cell, line 2)"],
    });
  });

  test("of a promise that nobody awaited is swallowed: it is the cell's", async () => {
    const ran = await run(["1;\nPromise.reject(new TypeError('alone')); 2"]);
    expect(ran.failure).toMatchObject({ cell: 1, line: 2, name: "TypeError" });
    expect(ran.failure!.message).toBe("alone (a promise that nobody awaited was rejected)");
  });

  test("thrown by a timer is swallowed: it is that of the cell that ran then", async () => {
    const ran = await run([
      "setTimeout(() => { throw new Error('later'); }, 300); 1",
      "await new Promise((resolve) => setTimeout(resolve, 600)); 2",
    ]);
    expect(ran.failure).toMatchObject({ cell: 2, name: "Error" });
    expect(ran.failure!.message).toBe("later (an error was thrown after the cell had ended)");
  });
});

describe("text", () => {
  test("comes in pieces: those of one stream that follow one another are joined", async () => {
    const ran = await run([
      "console.log(1); console.info('%s is %d', 'a', 2, { b: 'c' }); console.group('g'); console.log('in\\nit'); console.groupEnd();\nconsole.log(); console.error(4); 5",
    ]);
    expect(outputsOf(ran, 1)).toEqual([
      { output_type: "stream", name: "stdout", text: '1\na is 2 { b: "c" }\ng\n  in\n  it\n\n' },
      { output_type: "stream", name: "stderr", text: "4\n" },
      { output_type: "execute_result", execution_count: 1, data: { "text/plain": "5" }, metadata: {} },
    ]);
  });

  test("of process.stdout.write goes past the notebook: it is taken in, at its place", async () => {
    const ran = await run(["console.log(1); process.stdout.write('2\\n'); console.log(3);"]);
    expect(outputsOf(ran, 1)).toEqual([{ output_type: "stream", name: "stdout", text: "1\n2\n3\n" }]);
  });

  // Nothing of the two below is in the notebook, which says what it shows: results and console.log of a cell are.
  test("of Deno.stdout goes past the notebook, and breaks nothing", async () => {
    const ran = await run([
      "Deno.stdout.writeSync(new TextEncoder().encode('raw\\n')); console.log('said'); 1",
    ]);
    expect(ran.failure).toBe(null);
    expect(outputsOf(ran, 1)).toMatchObject([{ output_type: "stream", text: "said\n" }, {
      output_type: "execute_result",
    }]);
  });

  test("of a worker goes past the notebook, and breaks nothing", async () => {
    const worker = "data:application/javascript," +
      encodeURIComponent("console.log('worker'); postMessage(3);");
    const ran = await run([
      `await new Promise((go) => { new Worker(${
        JSON.stringify(worker)
      }, { type: "module" }).onmessage = (event) => go(event.data); })`,
    ]);
    expect(ran.failure).toBe(null);
    expect(plainOf(ran, 1)).toBe("3");
  });

  test("written late by a timer is shown under the cell that runs at that moment, and the run goes on", async () => {
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
});

describe("the kernel's end", () => {
  test("by a cell is no answer: the cell is named, also where it may fail", async () => {
    const ran = await run([expected("Deno.exit(0)"), "2"]);
    expect(ran.failure).toMatchObject({ cell: 1, name: "KernelEnded" });
  });

  test("by too much output leaves a message that says what to do", async () => {
    const ran = await run(["console.log('x'.repeat(2e6))"], { outputCapBytes: 1_000_000 });
    expect(ran.failure!.message).toBe(
      "The cell's output is larger than 1 MB: write it to a file and show a part of it",
    );
  });
});
