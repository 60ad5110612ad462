import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { writeNotebook } from "../../lib/writeup/mod.ts";
import { taskCommand } from "../commands/_run_task.ts";
import { root as project } from "../commands/_season.ts";
import { notebookOf } from "../writeup/_notebooks.ts";
import { chromiumPath, mustHavePrograms } from "./_programs.ts";

// A copy of the project, so that its library can be changed, and a notebook in it that tells when each cell was run.
describe.runIf(chromiumPath() !== null || mustHavePrograms())("deno task watch, seen in Chromium", () => {
  let root = "", notebook = "", said = "", address = "";
  let child: Deno.ChildProcess, heard: Promise<void>, browser: Browser, page: Page;
  const write = (second: string): void =>
    Deno.writeTextFileSync(
      notebook,
      writeNotebook(notebookOf([
        { md: "# Watched" },
        'import { OUTCOME_RULE } from "overiron";\nconsole.log("first", performance.now(), OUTCOME_RULE[0]!.slice(0, 20));',
        second,
        'console.log("third", performance.now());',
      ])),
    );
  /** What the page says a cell wrote: its word, the moment it ran, and the rest. */
  const shown = async (word: string): Promise<{ at: number; rest: string }> => {
    const text = await page.frameLocator("iframe").locator("pre.text", { hasText: word }).innerText();
    const [, at, ...rest] = text.trim().split(" ");
    return { at: Number(at), rest: rest.join(" ") };
  };
  const waitFor = (text: string) =>
    page.frameLocator("iframe").locator("pre.text", { hasText: text }).waitFor({ timeout: 30_000 });
  const ran = (): string[] => said.match(/\d+ cells run/g) ?? [];

  beforeAll(async () => {
    root = await Deno.realPath(await Deno.makeTempDir({ prefix: "overiron-copy-" }));
    const copied = await new Deno.Command("cp", {
      args: ["-r", "lib", "shared", "deno.json", "package.json", "package-lock.json", root],
      cwd: project,
    }).output();
    expect(copied.success).toBe(true);
    await Deno.symlink(`${project}/node_modules`, `${root}/node_modules`);
    for (const name of ["own-notebooks", "data", "temporary"]) await Deno.mkdir(`${root}/${name}`);
    await Deno.writeTextFile(`${root}/data/datapackage.json`, "{}");
    notebook = `${root}/own-notebooks/watched.ipynb`;
    write('console.log("second", performance.now(), "as it was");');
    const place = { here: root, temporary: `${root}/temporary`, project: root };
    child = taskCommand("watch", ["watched", "--data", `${root}/data`], place).spawn();
    heard = (async () => {
      for await (const text of child.stderr.pipeThrough(new TextDecoderStream())) said += text;
    })();
    address = (await child.stdout.pipeThrough(new TextDecoderStream()).getReader().read()).value!.trim();
    const { chromium } = await import("playwright-core");
    browser = await chromium.launch({
      executablePath: chromiumPath() ?? undefined,
      args: ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking"],
    });
    page = await browser.newPage();
    await page.goto(address);
  });
  afterAll(async () => {
    await browser?.close();
    child?.kill("SIGINT");
    await child?.status;
    await heard;
    await Deno.remove(root, { recursive: true });
  });

  test("a changed cell and those below it run again, the page reloads by itself, and its place is kept", async () => {
    await waitFor("as it was");
    const before = {
      first: await shown("first"),
      second: await shown("second"),
      third: await shown("third"),
    };
    await page.setViewportSize({ width: 600, height: 200 });
    await page.frameLocator("iframe").locator("body").evaluate(() => scrollTo(0, 120));
    write('console.log("second", performance.now(), "as it is now");');
    await waitFor("as it is now");
    const after = { first: await shown("first"), second: await shown("second"), third: await shown("third") };
    expect(after.first).toEqual(before.first);
    expect(after.second.at).toBeGreaterThan(before.third.at);
    expect(after.third.at).toBeGreaterThan(after.second.at);
    expect(ran()).toEqual(["3 cells run", "2 cells run"]);
    await expect.poll(() => page.frameLocator("iframe").locator("body").evaluate(() => scrollY)).toBe(120);
  });

  test("a changed text runs nothing and is shown", async () => {
    const before = await shown("third");
    Deno.writeTextFileSync(notebook, Deno.readTextFileSync(notebook).replace("# Watched", "# Watched still"));
    await page.frameLocator("iframe").getByText("Watched still").first().waitFor({ timeout: 30_000 });
    expect(await shown("third")).toEqual(before);
    expect(ran().at(-1)).toBe("0 cells run");
  });

  test("a changed file of the library runs everything in a new kernel, with the new library", async () => {
    const path = `${root}/lib/log/derive_outcome.ts`;
    const rule = (await shown("first")).rest;
    const library = Deno.readTextFileSync(path);
    expect(library.split(rule)).toHaveLength(2);
    Deno.writeTextFileSync(path, library.replace(rule, "Another rule of all ours"));
    await waitFor("Another rule of all");
    const now = { first: await shown("first"), second: await shown("second"), third: await shown("third") };
    expect(now.first.rest).toBe("Another rule of all");
    expect(now.first.at).toBeLessThan(now.second.at);
    expect(now.second.at).toBeLessThan(now.third.at);
    expect(ran().at(-1)).toBe("3 cells run");
  });

  test("a cell that fails is shown as failed, the cells above it as they were, and mending it runs on from there", async () => {
    const before = await shown("first");
    write('console.log("second", performance.now());\nthrow new Error("on purpose");');
    await page.frameLocator("iframe").getByText("The notebook stopped here.").first().waitFor({
      timeout: 30_000,
    });
    expect(await shown("first")).toEqual(before);
    write('console.log("second", performance.now(), "mended");');
    await waitFor("mended");
    expect(await shown("first")).toEqual(before);
    expect(ran().slice(-2)).toEqual(["1 cells run", "2 cells run"]);
    expect(await page.evaluate(() => document.querySelectorAll("iframe").length)).toBe(1);
  });
});
