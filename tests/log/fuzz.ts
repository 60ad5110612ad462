// Loads many generated files and says what came of them: deno task fuzz-logs [--count N] [--seed N].
import fc from "fast-check";
import { generatedFile, tryFile } from "./_generated_files.ts";

const count = Number(Deno.args[0] ?? 100_000), seed = Number(Deno.args[1] ?? 1);
const batch = 1000;
let done = 0, loaded = 0, refused = 0, slowest = 0;
for (let from = 0; from < count; from += batch) {
  const details = await fc.check(
    fc.asyncProperty(generatedFile, async (file) => {
      const outcome = await tryFile(file);
      done++;
      loaded += outcome.loaded;
      refused += outcome.refused;
      slowest = Math.max(slowest, outcome.ms);
      if (outcome.ms > 10_000) throw new Error(`A file took ${outcome.ms} ms`);
    }),
    { numRuns: Math.min(batch, count - from), seed: seed * 1_000_003 + from / batch },
  );
  if (details.failed) {
    const [file] = details.counterexample as [{ name: string; bytes: Uint8Array }];
    console.error(`FAILED on a file called ${file.name}: ${details.errorInstance}`);
    console.error(`Its bytes, as JSON: ${JSON.stringify(Array.from(file.bytes))}`);
    console.error(`Its text: ${JSON.stringify(new TextDecoder().decode(file.bytes))}`);
    Deno.exit(1);
  }
  if ((from / batch + 1) % 10 === 0) console.error(`${done} files`);
}
console.log(
  `${done} files: ${loaded} loads, ${refused} refusals, no crash, every account balanced; the slowest took ${
    Math.round(slowest)
  } ms`,
);
