import { proveGarden } from "../garden/mod.ts";
import { gardenProofPage } from "../writeup/garden_proof_page.ts";
import { CommandLineFault, readCommandLine, seedOf } from "./_command_line.ts";
import { root, runTask, say } from "./_run.ts";

await runTask(async (args) => {
  const line = readCommandLine("prove-garden", args);
  const text = line.values.gardens ?? "1000", gardens = Number(text);
  if (!/^\d+$/.test(text) || gardens < 1) {
    throw new CommandLineFault(
      `Cannot use --gardens: it must be a whole number of 1 or above, got "${text}"`,
    );
  }
  const seed = seedOf(line);
  const proof = proveGarden({
    gardens,
    seed,
    onProgress: (done, all) => done % Math.ceil(all / 20) === 0 && say(`${done} of ${all} gardens`),
  });
  const command = `deno task prove-garden --gardens ${gardens} --seed ${seed}`;
  const json = `${JSON.stringify({ command, ...proof }, null, 1)}\n`;
  const files = [
    [`${root}/datasets/proofs/garden.json`, json],
    ...gardenProofPage(proof, { command }).map(({ name, text }) =>
      [`${root}/datasets/proofs/${name}`, text] as const
    ),
  ] as const;
  if (line.switches.has("dry")) {
    console.log(json);
    return 0;
  }
  for (const [path, content] of files) {
    await Deno.mkdir(path.slice(0, path.lastIndexOf("/")), { recursive: true });
    await Deno.writeTextFile(path, content);
  }
  for (const [path] of files) say(`Written: ${path.slice(root.length + 1)}`);
  return 0;
});
