// Publishes one write-up after another into the folder given, until it is killed.
import { stageFolder } from "../../lib/writeup/swap_folder.ts";

const out = Deno.args[0]!;
for (let run = 0;; run++) {
  const staged = await stageFolder(out);
  const text = `${run}`.padEnd(2000, "x");
  await Promise.all(
    Array.from({ length: 12 }, (_, i) => Deno.writeTextFile(`${staged.folder}/${i}.txt`, text)),
  );
  await Deno.writeTextFile(`${staged.folder}/provenance.json`, text);
  await staged.commit();
  if (run === 0) console.log("begun");
}
