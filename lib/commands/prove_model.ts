import { proveModel } from "../model/mod.ts";
import { modelProofPage } from "../writeup/model_proof_page.ts";
import { CommandLineFault, readCommandLine, seedOf } from "./_command_line.ts";
import { root, runTask, say } from "./_run.ts";

await runTask(async (args) => {
  const line = readCommandLine("prove-model", args);
  const text = line.values.seasons ?? "100", seasons = Number(text);
  if (!/^\d+$/.test(text) || seasons < 2) {
    throw new CommandLineFault(
      `Cannot use --seasons: it must be a whole number of 2 or above, got "${text}"`,
    );
  }
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
  const json = `${JSON.stringify({ command, ...proof }, null, 1)}\n`;
  if (line.switches.has("dry")) {
    console.log(json);
    return 0;
  }
  const folder = `${root}/datasets/proofs`, page = modelProofPage(proof, { command });
  await Deno.mkdir(folder, { recursive: true });
  await Deno.writeTextFile(`${folder}/model.json`, json);
  await Deno.writeTextFile(`${folder}/${page.name}`, page.text);
  say(`Written: datasets/proofs/model.json and ${page.name}`);
  return 0;
});
