import { describe, expect, test } from "vitest";
import { type Progress, runNotebooks, writeNotebook } from "../../lib/writeup/mod.ts";
import { notebookOf, root } from "./_notebooks.ts";

describe("runNotebooks()", () => {
  const job = (name: string, ms: number) => ({
    notebook: notebookOf([
      `await new Promise((resolve) => setTimeout(resolve, ${ms}));`,
      `console.log("${name}"); Math.random()`,
    ]),
    options: { name, cwd: root },
  });

  test("gives runs in the order asked for, with the same bytes one or two at a time", async () => {
    const jobs = [job("a", 300), job("b", 0), job("c", 50)];
    const [two, one] = [await runNotebooks(jobs), await runNotebooks(jobs, { atOnce: 1 })];
    expect(two.map(({ name }) => name)).toEqual(["a", "b", "c"]);
    expect(two.map(({ executed }) => writeNotebook(executed))).toEqual(
      one.map(({ executed }) => writeNotebook(executed)),
    );
  });

  test("starts those with the most cells first", async () => {
    const started: string[] = [];
    const of = (name: string, count: number) => ({
      notebook: notebookOf(Array.from({ length: count }, () => "1")),
      options: {
        name,
        cwd: root,
        onProgress: ({ state, cell }: Progress) =>
          void (state === "started" && cell === 1 && started.push(name)),
      },
    });
    const runs = await runNotebooks([of("one", 1), of("three", 3), of("two", 2)], { atOnce: 1 });
    expect(started).toEqual(["three", "two", "one"]);
    expect(runs.map(({ name }) => name)).toEqual(["one", "three", "two"]);
  });

  test("tells what has run while the last ones are at work", async () => {
    const told: string[] = [];
    const onFree = (done: readonly { name: string }[]) => {
      told.push(done.map(({ name }) => name).join());
      return Promise.resolve();
    };
    await runNotebooks([job("slow", 4000), job("a", 0), job("b", 0)], { onFree });
    expect(told).toEqual(["a,b", "slow,a,b"]);
  });

  test("lets the others run when one fails", async () => {
    const failing = { notebook: notebookOf(["throw new Error('x')"]), options: { name: "bad", cwd: root } };
    const runs = await runNotebooks([failing, job("b", 0)]);
    expect(runs.map(({ failure }) => failure?.message ?? null)).toEqual(["x", null]);
  });

  test("refuses a number at once that makes no sense", async () => {
    await expect(runNotebooks([], { atOnce: 0 })).rejects.toThrow(
      new RangeError("Cannot run notebooks: atOnce must be a whole number of 1 or above, got 0"),
    );
  });
});
