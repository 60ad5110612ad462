import { expect, test } from "vitest";
import { nothing, Output, recordedMediaType } from "../../lib/figures/_output.ts";

const display = (output: Output) =>
  (output as unknown as Record<symbol, () => Record<string, unknown>>)[Symbol.for("Jupyter.display")]!();

test("Output shows HTML and text, and carries what it records only where there is something", () => {
  expect(display(new Output("<p>x</p>", "x", nothing))).toEqual({
    "text/html": "<p>x</p>",
    "text/plain": "x",
  });
  const tables = [{ id: "season.signals", rows: ["a"], columns: ["b"], counts: [[1]], n: 1 }];
  const recorded = { ...nothing, tables };
  expect(display(new Output("", "", recorded))[recordedMediaType]).toBe(recorded);
});
