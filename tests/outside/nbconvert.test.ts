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

  /** What each output of each code cell recorded, by the cell's id; an output that recorded nothing is an empty list. */
  const cellsOf = (path: string) =>
    new Map(
      readNotebook(Deno.readTextFileSync(path)).cells.flatMap((cell) =>
        cell.cell_type !== "code" ? [] : [
          [
            cell.id,
            cell.outputs.map((output) => {
              const data = "data" in output ? output.data as Record<string, unknown> : {};
              return JSON.stringify(
                (data[recordedMediaType] as { results?: unknown[] } | undefined)?.results ?? [],
              );
            }),
          ] as const,
        ]
      ),
    );

  test.concurrent.each([
    "1-season",
    "2-test-garden",
    "3-tone-bands",
    "4-personal-model",
    "5-what-a-neighbour-does",
  ])("%s gives the same results, the outputs that nbconvert loses apart", async (name) => {
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
    // This kernel says that it is idle before its last output is out, and nbconvert stops listening there. So an output is
    // lost where a cell has fewer than ours; what it has must be ours, in our order, and nothing else.
    let kept = 0, all = 0;
    for (const [id, outputs] of ours) {
      const rest = [...outputs];
      all += outputs.length;
      for (const output of theirs.get(id)!) {
        const at = rest.indexOf(output);
        expect(at, `cell ${id} recorded what ours did not: ${output.slice(0, 500)}`).toBeGreaterThanOrEqual(
          0,
        );
        rest.splice(0, at + 1);
        kept++;
      }
    }
    expect(kept).toBeGreaterThan(all / 4);
  }, 240_000);
});
