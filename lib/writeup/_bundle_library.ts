// Run as a program: makes one script of `lib/mod.ts` and all that it imports, an expression that is a function of what a CommonJS
// module is given. Arguments: the project's root, the folder to write.
import { rolldown } from "rolldown";

const [root, dir] = Deno.args as [string, string];
// A run that was killed leaves nobody who waits for this.
const parent = Deno.ppid;
Deno.unrefTimer(setInterval(() => Deno.ppid === parent || Deno.exit(1), 250));
const build = await rolldown({
  input: { library: `${root}/lib/mod.ts` },
  cwd: root,
  platform: "node",
  external: /^node:/,
  logLevel: "silent",
});
try {
  await build.write({
    dir,
    format: "cjs",
    codeSplitting: false,
    banner: '(function (exports, require, __filename) { "use strict";',
    footer: "})",
    // Names stay: errors and classes tell theirs. Nothing is worked out ahead: a number must come out as the sources give it.
    minify: { compress: false, mangle: false },
  });
} finally {
  await build.close();
}
