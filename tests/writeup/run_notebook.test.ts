import { describe, expect, test } from "vitest";
import { writeNotebook } from "../../lib/writeup/mod.ts";
import { root, type ShortCell } from "./_notebooks.ts";
import { expected, outputsOf, plainOf, runCells as run } from "./_run_cells.ts";

describe("runNotebook()", () => {
  test("imports defaults, namespaces, renamed names and attributes as written", async () => {
    const ran = await run([
      "import path, { join as glue } from 'node:path';\nimport * as all from 'node:path';\nimport pack from './package.json' with { type: 'json' };\nimport 'node:os';",
      "[path.join('a', 'b'), glue('c', 'd'), all.join('e', 'f'), pack.name].join(' ')",
    ]);
    expect(ran.failure).toBe(null);
    expect(plainOf(ran, 2)).toBe('"a/b c/d e/f overiron"');
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

  test("tells how far it is", async () => {
    const told: string[] = [];
    await run(["1", { code: "2", tags: ["skip-execution"] }, "throw new Error('x')"], {
      onProgress: ({ cell, cells, state }) => told.push(`${cell}/${cells} ${state}`),
    });
    expect(told).toEqual(["1/3 started", "1/3 done", "2/3 skipped", "3/3 started", "3/3 failed"]);
  });
});
