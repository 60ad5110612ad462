// Run as a program: writes beside a library, the script that `_bundle_library.ts` made, what the engine keeps of it once it has compiled
// and run it. Argument: the script.
import { createRequire } from "node:module";
import { Script } from "node:vm";

const [path] = Deno.args as [string];
const script = new Script(await Deno.readTextFile(path), { filename: path });
script.runInThisContext()({}, createRequire(path), path);
await Deno.writeFile(path.replace(/js$/, "cache"), script.createCachedData());
