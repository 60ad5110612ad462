// Run as a program: makes one JavaScript file of `lib/mod.ts` and all that it imports, with the parts that are loaded later beside
// it. Arguments: the project's root, the folder to write.
import { rolldown } from "rolldown";

const [root, dir] = Deno.args as [string, string];
// A run that was killed leaves nobody who waits for this.
const parent = Deno.ppid;
Deno.unrefTimer(setInterval(() => Deno.ppid === parent || Deno.exit(1), 250));
const build = await rolldown({
  input: { mod: `${root}/lib/mod.ts` },
  cwd: root,
  platform: "node",
  external: /^node:/,
  logLevel: "silent",
});
try {
  // Names stay: errors and classes tell theirs. Nothing is worked out ahead: a number must come out as the sources give it.
  await build.write({ dir, format: "esm", minify: { compress: false, mangle: false } });
} finally {
  await build.close();
}
