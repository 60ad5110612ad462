import { describe, expect, test } from "vitest";
import { renderPage } from "../../lib/writeup/mod.ts";
import { pageParts } from "../writeup/_page_parts.ts";
import { inspectPage } from "./_inspect_page.ts";
import { chromiumPath, mustHavePrograms } from "./_programs.ts";

// Without Chromium these are listed as not run; with CI=true they run and fail.
describe.runIf(chromiumPath() !== null || mustHavePrograms())("a rendered page in Chromium", () => {
  const inspect = async (html: string) => {
    const folder = await Deno.makeTempDir();
    try {
      await Deno.writeTextFile(`${folder}/index.html`, html);
      return await inspectPage(`${folder}/index.html`);
    } finally {
      await Deno.remove(folder, { recursive: true });
    }
  };

  test("is quiet, shows its figures, suits every reader in both themes, and fits a telephone", async () => {
    const found = await inspect(renderPage(pageParts()));
    expect(found.troubles).toEqual([]);
    expect(found.figures).toBe(1);
    expect(found.unseenFigures).toEqual([]);
    expect(found.violations).toEqual([]);
    expect(found.contrastMeasured).toBe(true);
    expect(found.overflow).toEqual({ at390: 0, at320: 0 });
    expect(found.focusless).toEqual([]);
  });

  test("inspectPage() finds what is wrong with a page that is", async () => {
    const bad = `<!doctype html><title>x</title><body style="background:#fff"><h3>Skipped levels</h3>
<p style="color:#bbb">Too pale to read</p><div style="width:900px">wide</div>
<div class="table-scroll" tabindex="0" role="region" aria-label="Wide" style="width:864px;overflow:auto"><div style="width:1000px">x</div></div><img src="https://example.org/x.png">
<figure><svg width="0" height="0"></svg></figure><a href="#x" style="outline:none">no outline</a>
<script>console.error("said"); throw new Error("thrown");</script>`;
    const found = await inspect(bad);
    expect(found.troubles.join("\n")).toMatch(/console: said/);
    expect(found.troubles.join("\n")).toMatch(/error: thrown/);
    expect(found.troubles.join("\n")).toMatch(/request: https:\/\/example\.org\/x\.png/);
    expect(found.unseenFigures).toHaveLength(1);
    const rules = found.violations.map((each) => each.split(": ")[1]);
    for (const rule of ["html-has-lang", "image-alt", "color-contrast"]) expect(rules).toContain(rule);
    expect(found.overflow.at390).toBeGreaterThan(400);
    expect(found.wideTables).toEqual(["Wide: 136"]);
    expect(found.focusless.join()).toMatch(/no outline/);
  });
});
