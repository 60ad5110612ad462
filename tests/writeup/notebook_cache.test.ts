import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { writeNotebook } from "../../lib/writeup/mod.ts";
import { filesOf } from "../commands/_season.ts";
import { notebookOf } from "./_notebooks.ts";
import { plainCells, smallProject, smallWriteUp } from "./_small_write_up.ts";

let root = "";
describe("the cache of notebook runs", () => {
  beforeAll(async () => {
    root = await smallProject({ one: plainCells, two: [...plainCells, "seed + 1"] });
  });
  afterAll(() => Deno.remove(root, { recursive: true }));
  const reused = async (more = {}) => (await smallWriteUp(root, more)).reused;

  test("reuses what ran on the same data, code and seed, says so, and gives the same bytes", async () => {
    expect(await reused()).toEqual([]);
    const first = filesOf(`${root}/out`);
    expect(await reused()).toEqual(["one", "two"]);
    expect([...filesOf(`${root}/out`)]).toEqual([...first]);
    expect(await reused({ cached: false })).toEqual([]);
    expect([...filesOf(`${root}/out`)]).toEqual([...first]);
  });

  test("a change of seed, of a cell, of the lock file or of the library is a run anew", async () => {
    expect(await reused({ seed: 2 })).toEqual([]);
    await Deno.writeTextFile(
      `${root}/notebooks/one.ipynb`,
      writeNotebook(notebookOf([...plainCells, "seed + 2"])),
    );
    expect(await reused()).toEqual(["two"]);
    await Deno.writeTextFile(`${root}/package-lock.json`, '{"packages":{}}');
    expect(await reused()).toEqual([]);
    await Deno.mkdir(`${root}/lib`);
    await Deno.writeTextFile(`${root}/lib/a.ts`, "export {};");
    expect(await reused()).toEqual([]);
    expect(await reused()).toEqual(["one", "two"]);
  });

  test("a parameter that the notebook declares makes it another run, and one it does not declare none", async () => {
    await reused();
    expect(await reused({ parameters: { level: 0.8 } })).toEqual(["one", "two"]);
    const declared = [{ code: "const worths = [3, 5];", tags: ["parameters"] }, "worths.length"];
    await Deno.writeTextFile(`${root}/notebooks/four.ipynb`, writeNotebook(notebookOf(declared)));
    expect(await reused()).toEqual(["one", "two"]);
    expect(await reused({ parameters: { worths: [4] } })).toEqual(["one", "two"]);
    expect(await reused({ parameters: { worths: [4] } })).toEqual(["four", "one", "two"]);
    expect(Deno.readTextFileSync(`${root}/out/notebooks/four.ipynb`)).toContain("const worths = [4];");
    expect(await reused()).toEqual(["four", "one", "two"]);
    await Deno.remove(`${root}/notebooks/four.ipynb`);
  });

  test("an entry that was spoilt is passed over, and a failed run is not kept", async () => {
    const folder = `${root}/.overiron/cache`;
    for (const { name } of Deno.readDirSync(folder)) {
      const text = Deno.readTextFileSync(`${folder}/${name}`);
      Deno.writeTextFileSync(`${folder}/${name}`, text.replace('"text":', '"text" :'));
    }
    expect(await reused()).toEqual([]);
    await Deno.writeTextFile(
      `${root}/notebooks/three.ipynb`,
      writeNotebook(notebookOf(["throw new Error('no')"])),
    );
    expect((await smallWriteUp(root)).failures).toHaveLength(1);
    const again = await smallWriteUp(root);
    expect(again.failures).toHaveLength(1);
    expect(again.reused).toEqual(["one", "two"]);
    await Deno.remove(`${root}/notebooks/three.ipynb`);
  });
});
