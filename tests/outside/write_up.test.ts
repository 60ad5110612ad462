import { pathToFileURL } from "node:url";
import { unzipSync, zipSync } from "fflate";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { filesOf, season } from "../commands/_season.ts";
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
      expect(found.wideTables).toEqual([]);
      expect(found.focusless).toEqual([]);
    },
    180_000,
  );

  test.runIf(chromiumPath() !== null || mustHavePrograms())(
    "packed as a zip, unpacked elsewhere, opened by another profile with the network off: no failed request, no script, by keyboard",
    async () => {
      const names = [...filesOf(`${folder}/out`).keys()];
      const packed = zipSync(
        Object.fromEntries(
          names.map((name) => [`write-up/${name}`, Deno.readFileSync(`${folder}/out/${name}`)]),
        ),
      );
      const place = await Deno.makeTempDir({ prefix: "passed on, ünpacked " });
      try {
        for (const [name, bytes] of Object.entries(unzipSync(packed))) {
          await Deno.mkdir(`${place}/${name}`.replace(/\/[^/]*$/, ""), { recursive: true });
          await Deno.writeFile(`${place}/${name}`, bytes);
        }
        const { chromium } = await import("playwright-core");
        const context = await chromium.launchPersistentContext(`${place}/profile`, {
          executablePath: chromiumPath() ?? undefined,
          args: ["--no-sandbox", "--disable-gpu", "--disable-background-networking"],
          offline: true,
        });
        const page = context.pages()[0] ?? await context.newPage();
        const url = pathToFileURL(`${place}/write-up/index.html`).href;
        const asked: string[] = [], troubles: string[] = [];
        page.on("request", (request) => asked.push(request.url()));
        page.on("requestfailed", (request) => troubles.push(`failed: ${request.url()}`));
        page.on("console", (message) => troubles.push(`${message.type()}: ${message.text()}`));
        page.on("pageerror", (error) => troubles.push(error.message));
        await page.goto(url);
        // Folded parts are opened, and the whole page is gone through, so that nothing waits to be loaded.
        await page.evaluate(`(() => {
          for (const each of document.querySelectorAll("details")) each.open = true;
          scrollTo(0, document.body.scrollHeight);
        })()`);
        await page.waitForTimeout(500);
        expect(troubles).toEqual([]);
        expect(asked.filter((address) => address !== url && !address.startsWith("data:"))).toEqual([]);
        expect(await page.evaluate("document.querySelectorAll('script').length")).toBe(0);

        // Every file that it offers is in the archive.
        const links = await page.evaluate(
          `[...document.querySelectorAll("a[href]")].map((each) => each.getAttribute("href")).filter((each) => !/^(#|https:)/.test(each))`,
        ) as string[];
        expect(links.length).toBeGreaterThan(8);
        for (const link of links) expect(names, link).toContain(link);

        // The first stop of the Tab key leads past the head of the page; a fold opens and shuts by keyboard.
        await page.reload();
        await page.keyboard.press("Tab");
        expect(await page.evaluate("document.activeElement.className")).toBe("skip");
        expect(await page.evaluate("document.activeElement.getBoundingClientRect().top >= 0")).toBe(true);
        await page.keyboard.press("Enter");
        expect(await page.evaluate("location.hash")).toBe("#text");
        await page.keyboard.press("Tab");
        expect(await page.evaluate(`document.querySelector("#text").contains(document.activeElement)`)).toBe(
          true,
        );
        await page.evaluate(`document.querySelector("details > summary").focus()`);
        const isOpen = (): Promise<unknown> => page.evaluate("document.activeElement.parentElement.open");
        const before = await isOpen();
        await page.keyboard.press("Enter");
        expect(await isOpen()).toBe(!before);
        await page.keyboard.press("Space");
        expect(await isOpen()).toBe(before);
        await context.close();
      } finally {
        await Deno.remove(place, { recursive: true });
      }
    },
    120_000,
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
