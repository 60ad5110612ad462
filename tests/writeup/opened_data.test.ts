import { describe, expect, test } from "vitest";
import { openedData } from "../../lib/writeup/_opened_data.ts";
import { runNotebooks, writeNotebook } from "../../lib/writeup/mod.ts";
import { publishData } from "../../lib/writeup/publish_data.ts";
import { notebookOf, root } from "./_notebooks.ts";
import { loaded, machines, smallLog } from "./_small_write_up.ts";

describe("openedData()", () => {
  test("is what notebooks are given of ../data, anew each time, and of no other folder", async () => {
    const folder = await Deno.realPath(await Deno.makeTempDir());
    try {
      for (const name of ["data", "notebooks", "other"]) await Deno.mkdir(`${folder}/${name}`);
      for (
        const { name, text } of publishData({ digLog: await loaded(smallLog), machines }, { seed: 1 }).files
      ) {
        await Deno.writeTextFile(`${folder}/data/${name}`, text);
      }
      const opened = await openedData(folder);
      expect(opened).not.toBeNull();
      const notebook = notebookOf([
        'import { openData, sweepFeatures } from "overiron";\nconst { season, garden, report } = await openData("../data");\nseason',
        "[season!.signals.map((signal) => sweepFeatures(signal, { machine: season!.machines[0]! })), garden, report]",
        'const again = await openData("../data/");\n[again.season === season, again.season!.signals.length]',
        'await openData("../other").catch((error) => error.message)',
      ]);
      const options = { name: "a", cwd: root, workingFolder: `${folder}/notebooks` };
      const [given, own] = await runNotebooks([
        { notebook, options: { ...options, prepared: { opened } } },
        { notebook, options },
      ]);
      expect(given!.failure).toBeNull();
      expect(writeNotebook(given!.executed)).toBe(writeNotebook(own!.executed));
      // What was opened is what is given: without its files the folder opens all the same.
      await Deno.remove(`${folder}/data`, { recursive: true });
      const [without] = await runNotebooks([{
        notebook,
        options: { ...options, prepared: { opened } },
      }]);
      expect(writeNotebook(without!.executed)).toBe(writeNotebook(own!.executed));
      await Deno.remove(opened!);
    } finally {
      await Deno.remove(folder, { recursive: true });
    }
  });

  test("is null where the folder does not open", async () => {
    const folder = await Deno.makeTempDir();
    expect(await openedData(folder)).toBeNull();
    expect([...Deno.readDirSync(folder)]).toEqual([]);
    await Deno.remove(folder, { recursive: true });
  });
});
