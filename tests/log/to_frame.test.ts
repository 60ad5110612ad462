import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { toFrame } from "../../lib/log/to_frame.ts";

type Display = Record<symbol, () => Record<string, string>>;

describe("toFrame()", () => {
  test("sets each dtype from what the column holds, not from its first cells", async () => {
    const frame = await toFrame({ code: ["007", ""], centre: [null, 52.123456789], dug: [true, null] });
    expect(frame.dtypes).toEqual(["string", "float32", "boolean"]);
    expect(frame.column("code").values).toEqual(["007", ""]);
    expect((frame.column("centre").values as number[])[1]).toBe(52.123456789);
  });
  test("keeps a frame's methods when a column bears their name", async () => {
    const frame = await toFrame({ mean: [1, 2], shape: ["a", "b"] });
    expect(frame.columns).toEqual(["mean_", "shape_"]);
    expect(frame.shape).toEqual([2, 2]);
  });
  test("shows an escaped table of ten rows", async () => {
    const frame = await toFrame({ text: Array.from({ length: 12 }, () => "<script>") });
    const html = (frame as unknown as Display)[Symbol.for("Jupyter.display")]!()["text/html"]!;
    expect(html).toContain("First 10 of 12 rows");
    expect(html).toContain("&#60;script&#62;");
    expect(html).not.toContain("<script>");
  });
  test("gives back every cell it was given (property)", async () => {
    const cell = fc.option(fc.double({ noNaN: true }), { nil: null });
    await fc.assert(
      fc.asyncProperty(fc.array(cell, { minLength: 1, maxLength: 20 }), async (column) => {
        const values = (await toFrame({ x: Object.freeze(column) })).column("x").values as number[];
        const someNumber = column.some((one) => one !== null);
        column.forEach((one, i) => {
          if (one !== null) expect(values[i]).toBe(one);
          else if (someNumber) expect(values[i]).toBeNaN();
        });
      }),
      { numRuns: 40, seed: 1 },
    );
  });
  test("a frame's statistics, tensors and tests for them work, though their packages come only when asked", async () => {
    const frame = await toFrame({ centre: [2, 4, 4, 4, 5, 5, 7, 9], call: Array.from("iiiiiiii") });
    // Sum of squares about 5 is 32; danfojs divides by n - 1.
    expect(frame.column("centre").var()).toBeCloseTo(32 / 7, 12);
    const { tensor } = frame.loc({ columns: ["centre"] });
    expect(tensor.shape).toEqual([8, 1]);
    const { DataFrame, tensorflow } = await import("danfojs");
    expect(new DataFrame(tensorflow.tensor2d([[1, 2], [3, 4]])).shape).toEqual([2, 2]);
  });
  test("refuses ragged, mixed and missing columns", async () => {
    await expect(toFrame({ a: [1], b: [1, 2] })).rejects.toThrow(
      'column "b" must have 1 cells like the first, got 2',
    );
    await expect(toFrame({ a: [1, "x"] as never })).rejects.toThrow(
      'column "a" must hold one kind, got float32 and string',
    );
    await expect(toFrame({})).rejects.toThrow("needs at least one column");
    await expect(toFrame({ a: [{}] as never })).rejects.toThrow(TypeError);
  });
});
