import { type DigLog, loadDigLog, type MachinesFile, parseMachines } from "../../lib/log/mod.ts";
import { makeWriteUp, type MakeWriteUpOptions, writeNotebook, type WriteUp } from "../../lib/writeup/mod.ts";
import { notebookOf, type ShortCell } from "./_notebooks.ts";

export const machines: MachinesFile = parseMachines(JSON.stringify({
  schema: "overiron-machines/1",
  machines: [{
    machine: "Machine A",
    scale: { low: 0, high: 600, step: 1 },
    iron_break: 150,
    tones: { name: "one", kind: "bands", breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] },
  }],
}));

export const loaded = (text: string): Promise<DigLog> =>
  loadDigLog({ name: "log.csv", bytes: new TextEncoder().encode(text) }, machines);

export const smallLog =
  "signal_id,site,date,readings_right,readings_left\n7,Top field,2025-05-03,410,x 405\n8,Top field,2025-06-01,90,95\n";

/** A project of its own, with notebooks that need nothing of the library: their kernels start at once. */
export async function smallProject(
  notebooks: Readonly<Record<string, readonly ShortCell[]>>,
): Promise<string> {
  const root = await Deno.makeTempDir({ prefix: "overiron-project-" });
  await Deno.mkdir(`${root}/notebooks`);
  for (const [name, cells] of Object.entries(notebooks)) {
    await Deno.writeTextFile(`${root}/notebooks/${name}.ipynb`, writeNotebook(notebookOf(cells)));
  }
  for (const name of ["package.json", "package-lock.json", "deno.json"]) {
    await Deno.writeTextFile(`${root}/${name}`, "{}");
  }
  return root;
}

/** Cells that read the published data, and the seed. */
export const plainCells: readonly ShortCell[] = [
  { md: "# Plain\n\nCounts lines." },
  { code: 'const data = "../data";\nconst seed = 5;', tags: ["parameters"] },
  'const text = await Deno.readTextFile(data + "/signals.csv");\ntext.split("\\n").length',
  "console.log(seed, Math.random(), 1.23456789 * seed)",
];

/** Makes a write-up of the small log in a small project. */
export async function smallWriteUp(
  root: string,
  more: Partial<MakeWriteUpOptions> = {},
  log = smallLog,
): Promise<WriteUp> {
  return await makeWriteUp(
    {
      digLog: await loaded(log),
      gardenLog: null,
      machines,
      inputs: [{ role: "dig-log", bytes: new TextEncoder().encode(log) }],
    },
    { root, out: `${root}/out`, seed: 1, title: "Small", command: "deno task season DIG-LOG", ...more },
  );
}
