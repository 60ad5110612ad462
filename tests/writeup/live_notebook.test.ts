import { expect, test } from "vitest";
import { checkNotebooks, liveNotebook, notebookTemplate, writeNotebook } from "../../lib/writeup/mod.ts";
import { notebookOf, root, type ShortCell } from "./_notebooks.ts";

const outputs = (run: { executed: { cells: readonly unknown[] } }): string =>
  JSON.stringify(run.executed.cells);

test("a live notebook runs from the first changed cell, anew after a restart, and outlives failures", async () => {
  const live = liveNotebook({ name: "live", cwd: root });
  const cells = (middle: string, last = "console.log('sum', a + b)"): ShortCell[] => [
    "const a = 1;\nconsole.log('first', Deno.pid)",
    middle,
    last,
  ];
  try {
    const first = await live.update(notebookOf(cells("const b = 2;")));
    expect([first.ranCells, first.run.failure]).toEqual([3, null]);
    expect(outputs(first.run)).toContain("sum 3");
    const second = await live.update(notebookOf(cells("const b = 5;")));
    expect(second.ranCells).toBe(2);
    expect(outputs(second.run)).toContain("sum 6");
    const pid = /first (\d+)/.exec(outputs(first.run))![1];
    expect(outputs(second.run)).toContain(`first ${pid}`);
    // Nothing changed: nothing runs.
    expect((await live.update(notebookOf(cells("const b = 5;")))).ranCells).toBe(0);
    const failed = await live.update(notebookOf(cells("const b = missing;")));
    expect([failed.ranCells, failed.run.failure?.cell]).toEqual([1, 2]);
    const mended = await live.update(notebookOf(cells("const b = 7;")));
    expect([mended.ranCells, mended.run.failure]).toEqual([2, null]);
    const restarted = await live.update(notebookOf(cells("const b = 7;")), { restart: true });
    expect(restarted.ranCells).toBe(3);
    expect(outputs(restarted.run)).not.toContain(`first ${pid}`);
    const ended = await live.update(notebookOf(cells("const b = 7;", "Deno.exit()")));
    expect(ended.run.failure?.name).toBe("KernelEnded");
    const again = await live.update(notebookOf(cells("const b = 7;")));
    expect([again.ranCells, again.run.failure]).toEqual([3, null]);
  } finally {
    await live.stop();
  }
});

test("the template of a person's own notebook passes the check", async () => {
  const folder = await Deno.makeTempDir({ dir: `${root}/.overiron` });
  try {
    await Deno.writeTextFile(`${folder}/mine.ipynb`, writeNotebook(notebookTemplate("My question")));
    expect(await checkNotebooks(folder, { root })).toEqual([]);
  } finally {
    await Deno.remove(folder, { recursive: true });
  }
});
