import { proveModel } from "../model/mod.ts";
import { modelProofPage } from "../writeup/model_proof_page.ts";
import { CommandLineFault, readCommandLine, seedOf, wholeOf } from "./_command_line.ts";
import { runTask, say } from "./_run.ts";
import { writeProof } from "./_write_proof.ts";

await runTask(async (args) => {
  const line = readCommandLine("prove-model", args);
  const seasons = wholeOf(line, "seasons", { fallback: 250, least: 2 });
  const signals = line.values.signals ?? "600,3000";
  const sizes = signals.split(",").map(Number);
  if (!/^\d+(,\d+)*$/.test(signals) || sizes.some((size) => size < 50)) {
    throw new CommandLineFault(
      `Cannot use --signals: it must be whole numbers of 50 or above, with commas between, got "${signals}"`,
    );
  }
  const seed = seedOf(line);
  const proof = await proveModel({
    seasons,
    sizes,
    seed,
    onProgress: (done, all) => done % Math.ceil(all / 20) === 0 && say(`${done} of ${all} seasons`),
  });
  const more = line.values.signals === undefined ? "" : ` --signals ${signals}`;
  const command = `deno task prove-model --seasons ${seasons}${more} --seed ${seed}`;
  await writeProof("model", { command, ...proof }, {
    dry: line.switches.has("dry"),
    pages: [modelProofPage(proof, { command })],
  });
  return 0;
});
