import { afterAll, beforeAll, describe, expect, test } from "vitest";
import type { RerunReport } from "../../lib/writeup/mod.ts";
import { sha256 } from "../../lib/writeup/mod.ts";
import { plainCells, smallProject, smallWriteUp } from "../writeup/_small_write_up.ts";
import { type Ended, filesOf, root } from "./_season.ts";

/** Runs the rerun command, without a terminal. */
async function rerun(args: readonly string[]): Promise<Ended> {
  const { code, stdout, stderr } = await new Deno.Command(Deno.execPath(), {
    args: ["run", "-A", "--no-lock", `${root}/lib/commands/rerun.ts`, ...args],
    cwd: root,
    env: { NO_COLOR: "1" },
    stdin: "null",
  }).output();
  const decode = (bytes: Uint8Array): string => new TextDecoder().decode(bytes);
  return { code, stdout: decode(stdout), stderr: decode(stderr) };
}

// A write-up by somebody else: its one notebook is not of this checkout.
describe("deno task rerun, another person's write-up", () => {
  let project = "", out = "";
  beforeAll(async () => {
    project = await smallProject({ plain: plainCells });
    // The same packages, so that versions do not differ.
    for (const name of ["package.json", "package-lock.json", "deno.json"]) {
      await Deno.copyFile(`${root}/${name}`, `${project}/${name}`);
    }
    out = `${project}/out`;
    expect((await smallWriteUp(project, { out })).failures).toEqual([]);
  });
  afterAll(() => Deno.remove(project, { recursive: true }));

  test("without a terminal it shows the code and what a kernel may touch, and refuses; nothing runs", async () => {
    const { code, stdout, stderr } = await rerun([out]);
    expect(code).toBe(1);
    expect(stdout).toBe("");
    expect(stderr).toContain(
      "Notebook plain is not one of this checkout's: 3 of its 3 code cells are new to it.",
    );
    expect(stderr).toContain("    | console.log(seed, Math.random(), 1.23456789 * seed)");
    expect(stderr).toMatch(
      /may read every file that you may; it may write none, and neither\s+use the network nor start other programs/,
    );
    expect(stderr).toContain("Nobody can be asked here; --trust says yes.");
    expect(stderr).toContain("nobody allowed them: plain");
    expect(stderr).not.toContain("cell 1 of");
  });

  test("trusted and untouched: every cell equal, status 0, in text and in JSON, and nothing is written", async () => {
    const before = filesOf(project);
    const text = await rerun([out, "--trust"]);
    expect(text.stderr).toContain("3 cells: 3 equal, 0 equal within tolerance, 0 different, 0 not run");
    expect(text.stderr).toContain("The write-up came out the same.");
    expect(text.stdout).toMatch(/^plain, cell 1 \(cell-2\): equal\n/);
    expect(text.code).toBe(0);
    const json = await rerun([out, "--trust", "--json"]);
    expect(json.code).toBe(0);
    const report = JSON.parse(json.stdout) as RerunReport;
    expect(report.schema).toBe("overiron-rerun/1");
    expect(report.cells.map(({ verdict }) => verdict)).toEqual(["equal", "equal", "equal"]);
    expect(filesOf(project)).toEqual(before);
  });

  test.each([
    ["within tolerance", (value: number) => value * (1 + 1e-9), "within-tolerance", 0],
    ["different", (value: number) => value * 1.001, "different", 3],
  ])("a number changed: %s", async (words, change, verdict, status) => {
    const path = `${out}/notebooks/plain.ipynb`, record = `${out}/provenance.json`;
    const [whole, made] = [Deno.readTextFileSync(path), Deno.readTextFileSync(record)];
    // What console.log wrote: the seed, a draw, a product.
    const draw = /1 (0\.\d+) 1\.23456789/.exec(whole)![1]!;
    const changed = whole.replace(draw, String(change(Number(draw))));
    expect(changed).not.toBe(whole);
    try {
      Deno.writeTextFileSync(path, changed);
      const provenance = JSON.parse(made);
      provenance.files["notebooks/plain.ipynb"] = sha256(new TextEncoder().encode(changed));
      Deno.writeTextFileSync(record, JSON.stringify(provenance));
      const text = await rerun([out, "--trust"]);
      expect(text.stdout).toContain(`plain, cell 3 (cell-4): ${words}`);
      expect(text.code).toBe(status);
      // What differs is told, both ways; what agrees within tolerance is not.
      expect(text.stdout.includes(draw.slice(0, 6))).toBe(verdict === "different");
      if (verdict !== "different") return;
      const report = JSON.parse((await rerun([out, "--trust", "--json"])).stdout) as RerunReport;
      expect(report.cells.map((cell) => cell.verdict)).toEqual(["equal", "equal", verdict]);
      expect(report.cells[2]!.differences.join()).toContain(draw.slice(0, 6));
    } finally {
      Deno.writeTextFileSync(path, whole);
      Deno.writeTextFileSync(record, made);
    }
  });

  test("no folder, a folder that is no write-up, a wrong tolerance: status 1", async () => {
    for (const args of [[], [`${project}/notebooks`], [out, "--tolerance", "2"]]) {
      const { code, stderr } = await rerun(args);
      expect([args.length, code]).toEqual([args.length, 1]);
      expect(stderr).toMatch(/^Cannot /);
    }
  });
});
