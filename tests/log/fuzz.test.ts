import fc from "fast-check";
import { expect, test } from "vitest";
import { generatedFile, tryFile } from "./_generated_files.ts";

// A hundred thousand of them: deno task fuzz-logs.
test("loadDigLog() and loadGardenLog() load or refuse 400 generated files, and every row is accounted for", async () => {
  let loaded = 0, refused = 0, slowest = 0;
  await fc.assert(
    fc.asyncProperty(generatedFile, async (file) => {
      const outcome = await tryFile(file);
      loaded += outcome.loaded;
      refused += outcome.refused;
      slowest = Math.max(slowest, outcome.ms);
    }),
    { numRuns: 400, seed: 8, endOnFailure: true },
  );
  // The files are no use if all of them are refused, or none.
  expect(loaded).toBeGreaterThan(60);
  expect(refused).toBeGreaterThan(60);
  expect(slowest).toBeLessThan(5000);
});
