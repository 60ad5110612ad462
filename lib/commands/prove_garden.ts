import { proveGarden } from "../garden/mod.ts";
import { gardenProofPage } from "../writeup/garden_proof_page.ts";
import { readCommandLine, seedOf, wholeOf } from "./_command_line.ts";
import { runTask, say } from "./_run.ts";
import { writeProof } from "./_write_proof.ts";

await runTask(async (args) => {
  const line = readCommandLine("prove-garden", args);
  const gardens = wholeOf(line, "gardens", { fallback: 1000 }), seed = seedOf(line);
  const proof = proveGarden({
    gardens,
    seed,
    onProgress: (done, all) => done % Math.ceil(all / 20) === 0 && say(`${done} of ${all} gardens`),
  });
  const command = `deno task prove-garden --gardens ${gardens} --seed ${seed}`;
  await writeProof("garden", { command, ...proof }, {
    dry: line.switches.has("dry"),
    pages: gardenProofPage(proof, { command }),
  });
  return 0;
});
