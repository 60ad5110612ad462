// Publishes a small log with a notebook of its own, which takes its time in a kernel: to be killed on the way.
import { makeWriteUp } from "../../lib/writeup/mod.ts";
import { loaded, machines, smallLog } from "../writeup/_small_write_up.ts";

const [root, out, seed] = Deno.args as [string, string, string];
const made = await makeWriteUp({
  digLog: await loaded(smallLog),
  gardenLog: null,
  machines,
  inputs: [{ role: "dig-log", bytes: new TextEncoder().encode(smallLog) }],
}, { root, out, seed: Number(seed), title: "Small", command: "deno task season DIG-LOG", cached: false });
Deno.exit(made.failures.length);
