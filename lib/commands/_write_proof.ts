import { root, say } from "./_run.ts";

/**
 * Stores what a proof came to in `datasets/proofs`, as `NAME.json` and the pages made of it; with `dry` it is printed instead.
 */
export async function writeProof(
  name: string,
  proof: unknown,
  options: {
    readonly dry: boolean;
    readonly pages: readonly { readonly name: string; readonly text: string }[];
  },
): Promise<void> {
  const json = `${JSON.stringify(proof, null, 1)}\n`;
  if (options.dry) {
    console.log(json);
    return;
  }
  const folder = `${root}/datasets/proofs`;
  await Deno.mkdir(folder, { recursive: true });
  for (const { name: file, text } of [{ name: `${name}.json`, text: json }, ...options.pages]) {
    await Deno.writeTextFile(`${folder}/${file}`, text);
    say(`Written: datasets/proofs/${file}`);
  }
}
