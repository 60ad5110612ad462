import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { type ForeignNotebook, rerunWriteUp, sha256 } from "../../lib/writeup/mod.ts";
import { filesOf } from "../commands/_season.ts";
import { plainCells, smallProject, smallWriteUp } from "./_small_write_up.ts";

let root = "", out = "";
/** A copy of the write-up, to spoil. */
async function copy(change: (folder: string) => void | Promise<void>): Promise<string> {
  const folder = await Deno.makeTempDir();
  for (const name of ["data", "notebooks"]) await Deno.mkdir(`${folder}/${name}`);
  for (const path of filesOf(out).keys()) await Deno.copyFile(`${out}/${path}`, `${folder}/${path}`);
  await change(folder);
  return folder;
}
const edit = (path: string, was: string, is: string): void => {
  const text = Deno.readTextFileSync(path);
  if (!text.includes(was)) throw new Error(`${path} has no ${was}`);
  Deno.writeTextFileSync(path, text.replace(was, is));
};
/** As somebody would who wants a change to go unseen: the record is made to fit. */
const forge = (folder: string, path: string): void => {
  const made = JSON.parse(Deno.readTextFileSync(`${folder}/provenance.json`));
  made.files[path] = sha256(Deno.readFileSync(`${folder}/${path}`));
  Deno.writeTextFileSync(`${folder}/provenance.json`, JSON.stringify(made));
};

describe("rerunWriteUp()", () => {
  beforeAll(async () => {
    root = await smallProject({ plain: plainCells });
    const made = await smallWriteUp(root, { author: "A. Digger", date: "2025-07-01" });
    expect(made.failures).toEqual([]);
    out = made.folder;
  });
  afterAll(() => Deno.remove(root, { recursive: true }));

  test("an untouched write-up comes out the same, cell by cell and file by file, and is not written to", async () => {
    const before = filesOf(out);
    const report = await rerunWriteUp(out, { root });
    expect(report).toMatchObject({ verdict: "same", hashes: [], failures: [], versions: [] });
    expect(report.cells.map(({ verdict }) => verdict)).toEqual(["equal", "equal", "equal"]);
    expect(new Set(report.files.map(({ verdict }) => verdict))).toEqual(new Set(["equal"]));
    expect(report.files.map(({ path }) => path)).toContain("index.html");
    expect([...filesOf(out)]).toEqual([...before]);
  });

  test("changed data are told by hash, by package, and by the cell that comes out different", async () => {
    const folder = await copy((to) => edit(`${to}/data/signals.csv`, "\n", "\n\n"));
    const report = await rerunWriteUp(folder, { root });
    expect(report.verdict).toBe("different");
    expect(report.hashes.map(({ path, difference }) => `${path}: ${difference}`)).toEqual([
      "data/signals.csv: not the bytes that were recorded",
      "data/signals.csv: not the bytes that the package names",
    ]);
    const [, cell] = report.cells;
    expect(cell).toMatchObject({ cell: 2, verdict: "different" });
    expect(cell!.differences.join()).toMatch(/4.*5/);
  });

  test("a changed output, page or result is found although the record was made to fit", async () => {
    for (
      const [path, was, is] of [
        ["notebooks/plain.ipynb", "1.23456789", "1.33456789"],
        ["index.html", "Counts lines", "Counts sheep"],
        ["results.json", '"seed": 1', '"seed": 2'],
      ] as const
    ) {
      const folder = await copy((to) => {
        const from = path.endsWith("ipynb") ? "1 0." : was;
        edit(`${to}/${path}`, from, path.endsWith("ipynb") ? "2 0." : is);
        forge(to, path);
      });
      const report = await rerunWriteUp(folder, { root });
      expect(report.hashes, path).toEqual([]);
      expect(report.verdict, path).toBe("different");
      expect(report.files.filter(({ verdict }) => verdict === "different").map((each) => each.path))
        .toContain(path);
    }
  });

  test("a file too many and a file missing are told", async () => {
    const folder = await copy((to) => {
      Deno.writeTextFileSync(`${to}/data/more.csv`, "a\n");
      Deno.removeSync(`${to}/results.json`);
    });
    const { hashes, verdict } = await rerunWriteUp(folder, { root });
    expect(verdict).toBe("different");
    expect(hashes).toEqual([
      { path: "results.json", difference: "missing" },
      { path: "data/more.csv", difference: "not recorded" },
    ]);
  });

  test("another person's code runs only where it is allowed, and what is new in it is shown", async () => {
    const place = await Deno.makeTempDir();
    const folder = await copy((to) =>
      edit(
        `${to}/notebooks/plain.ipynb`,
        '"console.log(seed, Math.random(), 1.23456789 * seed)"',
        JSON.stringify(`await Deno.writeTextFile(${JSON.stringify(`${place}/ran`)}, "x"); // mine`),
      )
    );
    await expect(rerunWriteUp(folder, { root })).rejects.toMatchObject({ name: "WriteUpFault", status: 1 });
    let asked: readonly ForeignNotebook[] = [];
    const allow = (answer: boolean) => (foreign: readonly ForeignNotebook[]) => {
      asked = foreign;
      return answer;
    };
    const told: string[] = [];
    await expect(
      rerunWriteUp(folder, { root, allow: allow(false), onProgress: ({ state }) => told.push(state) }),
    ).rejects.toThrow("nobody allowed them: plain");
    expect(told).toEqual([]);
    expect(asked).toHaveLength(1);
    expect(asked[0]!.newCells.map(({ cell, source }) => [cell, source.includes("// mine")])).toEqual([[
      3,
      true,
    ]]);
    // Allowed, it runs, and even so may only read.
    const report = await rerunWriteUp(folder, { root, allow: allow(true) });
    expect(report.failures).toMatchObject([{ notebook: "plain", cell: 3, name: "NotCapable" }]);
    expect([...Deno.readDirSync(place)]).toEqual([]);
  });

  test("what a parameters cell was set to is taken from the record, never from code put beside it", async () => {
    const folder = await copy((to) =>
      edit(`${to}/notebooks/plain.ipynb`, '"const seed = 1;"', JSON.stringify('throw new Error("it ran");'))
    );
    const report = await rerunWriteUp(folder, { root });
    expect(report.failures).toEqual([]);
    // The cell itself is found to differ from the one that was run.
    expect(report.verdict).toBe("different");
  });

  test("folders that are no write-up, and links out of one, are refused", async () => {
    const empty = await Deno.makeTempDir();
    await expect(rerunWriteUp(empty, { root })).rejects.toThrow("provenance.json");
    const linked = await copy((to) => {
      Deno.removeSync(`${to}/data/machines.json`);
      Deno.symlinkSync("/etc/hostname", `${to}/data/machines.json`);
    });
    await expect(rerunWriteUp(linked, { root })).rejects.toThrow("plain files alone");
    const outside = await copy((to) =>
      edit(`${to}/provenance.json`, '"name": "plain"', '"name": "../plain"')
    );
    await expect(rerunWriteUp(outside, { root })).rejects.toThrow("provenance.json, at notebooks");
  });
});
