import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { recordedMediaType } from "../../lib/figures/mod.ts";
import { readNotebook } from "../../lib/writeup/mod.ts";
import { root, season } from "../commands/_season.ts";
import { mustHavePrograms, programPath } from "./_programs.ts";

// Debian's jupyter-nbconvert, with the kernel that `deno task jupyter` installs.
const jupyter = programPath(["jupyter-nbconvert"]);

describe.runIf(jupyter !== null || mustHavePrograms())("the shipped notebooks under nbconvert", () => {
  let folder = "";
  beforeAll(async () => {
    await Deno.mkdir(`${root}/.overiron`, { recursive: true });
    // Inside the project, where the kernel finds the library.
    folder = await Deno.makeTempDir({ dir: `${root}/.overiron` });
    expect((await season(["--out", `${folder}/out`])).code).toBe(0);
    const { success } = await new Deno.Command(Deno.execPath(), {
      args: ["run", "-A", "--no-lock", `${root}/lib/commands/jupyter.ts`],
      cwd: root,
      env: { JUPYTER_DATA_DIR: `${folder}/jupyter`, HOME: folder },
      stdout: "null",
      stderr: "null",
    }).output();
    expect(success).toBe(true);
  }, 240_000);
  afterAll(() => Deno.remove(folder, { recursive: true }));

  /** Results and number of outputs of each code cell, by id. */
  const cellsOf = (path: string) =>
    new Map(
      readNotebook(Deno.readTextFileSync(path)).cells.flatMap((cell) =>
        cell.cell_type !== "code" ? [] : [
          [cell.id, {
            outputs: cell.outputs.length,
            results: JSON.stringify(cell.outputs.flatMap((output) => {
              const data = "data" in output ? output.data as Record<string, unknown> : {};
              return (data[recordedMediaType] as { results?: unknown[] } | undefined)?.results ?? [];
            })),
          }] as const,
        ]
      ),
    );

  for (const name of ["3-tone-bands", "5-what-a-neighbour-does"]) {
    test(`${name} gives the same results, the outputs that nbconvert loses apart`, async () => {
      const { success, stderr } = await new Deno.Command(jupyter!, {
        args: [
          "--to",
          "notebook",
          "--execute",
          "--ExecutePreprocessor.kernel_name=deno",
          "--output",
          `${folder}/${name}.ipynb`,
          `${folder}/out/notebooks/${name}.ipynb`,
        ],
        env: { JUPYTER_DATA_DIR: `${folder}/jupyter`, HOME: folder, NO_COLOR: "1" },
        stdout: "null",
      }).output();
      expect(success, new TextDecoder().decode(stderr)).toBe(true);
      const ours = cellsOf(`${folder}/out/notebooks/${name}.ipynb`),
        theirs = cellsOf(`${folder}/${name}.ipynb`);
      expect([...theirs.keys()]).toEqual([...ours.keys()]);
      // This kernel says that it is idle before its last output is out, and nbconvert stops listening there: a cell with
      // fewer outputs has lost some. A cell with as many must have recorded the same.
      let compared = 0;
      for (const [id, cell] of ours) {
        expect(theirs.get(id)!.outputs).toBeLessThanOrEqual(cell.outputs);
        if (theirs.get(id)!.outputs < cell.outputs) continue;
        expect(`${id} ${theirs.get(id)!.results}`).toBe(`${id} ${cell.results}`);
        compared++;
      }
      expect(compared).toBeGreaterThan(ours.size / 3);
    }, 120_000);
  }
});
