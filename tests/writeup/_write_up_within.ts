// Makes another small write-up within limits that the shell above has set, and tells how that ended.
import { OutputFault } from "../../lib/writeup/mod.ts";
import { smallWriteUp } from "./_small_write_up.ts";

const [root, out] = Deno.args as [string, string];
try {
  await smallWriteUp(root, { out, seed: 2, title: "Another", cached: false });
  console.log("made");
} catch (error) {
  if (!(error instanceof OutputFault)) throw error;
  console.log(`${error.kind}: ${error.message}`);
}
// The kernels have ended; nothing else is to keep this process.
Deno.exit(0);
