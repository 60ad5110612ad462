import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { season } from "../commands/_season.ts";
import { inspectPage } from "./_inspect_page.ts";
import { chromiumPath, mustHavePrograms } from "./_programs.ts";

const hasPython = (module: string): boolean => {
  // Debian's own interpreter: another one on the path may not see Debian's modules.
  try {
    return new Deno.Command("/usr/bin/python3", { args: ["-c", `import ${module}`], stderr: "null" })
      .outputSync().success;
  } catch {
    return false;
  }
};
const wanted = chromiumPath() !== null || hasPython("nbformat") || mustHavePrograms();

describe.runIf(wanted)("the demo write-up, seen by other programs", () => {
  let folder = "";
  beforeAll(async () => {
    folder = await Deno.makeTempDir();
    const ended = await season(["--out", `${folder}/out`]);
    expect(ended.stderr).toContain("The write-up:");
  });
  afterAll(() => Deno.remove(folder, { recursive: true }));

  test.runIf(chromiumPath() !== null || mustHavePrograms())(
    "Chromium, network off: quiet, every figure seen, axe-core clean in both themes, fits a telephone",
    async () => {
      const found = await inspectPage(`${folder}/out/index.html`);
      expect(found.troubles).toEqual([]);
      expect(found.figures).toBeGreaterThan(8);
      expect(found.unseenFigures).toEqual([]);
      expect(found.violations).toEqual([]);
      expect(found.overflow).toEqual({ at390: 0, at320: 0 });
      expect(found.focusless).toEqual([]);
    },
    180_000,
  );

  test.runIf(hasPython("nbformat") || mustHavePrograms())(
    "Debian's python3-nbformat finds every executed notebook valid",
    async () => {
      const script = `import sys, nbformat
for path in sys.argv[1:]:
    nbformat.validate(nbformat.read(path, as_version=nbformat.NO_CONVERT))
    print("valid")`;
      const names = [...Deno.readDirSync(`${folder}/out/notebooks`)].map(({ name }) =>
        `${folder}/out/notebooks/${name}`
      );
      const { success, stdout, stderr } = await new Deno.Command("/usr/bin/python3", {
        args: ["-c", script, ...names],
      }).output();
      expect(new TextDecoder().decode(stderr)).toBe("");
      expect(success).toBe(true);
      expect(new TextDecoder().decode(stdout).trim().split("\n")).toEqual(names.map(() => "valid"));
    },
  );
});
