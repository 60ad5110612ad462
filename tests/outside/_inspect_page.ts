import { pathToFileURL } from "node:url";
import type { Browser, Page } from "playwright-core";
import { chromiumPath } from "./_programs.ts";

/** What a page does in a real browser with the network off. */
export interface PageInspection {
  /** Messages of the console at level error or warning, uncaught errors, and requests for anything but the page itself. */
  readonly troubles: readonly string[];
  /** Drawings and pictures that cannot be seen, by number and label. */
  readonly unseenFigures: readonly string[];
  readonly figures: number;
  /** Violations found by axe-core, by theme, as "theme: rule: place". */
  readonly violations: readonly string[];
  /** Whether axe-core could measure contrasts in both themes: outside a real browser it cannot. */
  readonly contrastMeasured: boolean;
  /** How many pixels the page is wider than a window of 390, and of 320. */
  readonly overflow: { readonly at390: number; readonly at320: number };
  /** Tables in sight that do not fit a window of 1200, by caption, as "caption: pixels too wide"; those in folds are left out. */
  readonly wideTables: readonly string[];
  /** Whether each thing that takes the focus by keyboard shows it, and none is passed over. */
  readonly focusless: readonly string[];
}

const ARGS = [
  "--no-sandbox",
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
]
  .concat(["--disable-component-update", "--disable-sync"]);

/**
 * Opens a page from its file in Chromium, with the network off and in light and dark, and reports all that is wrong with it.
 *
 * axe-core runs with its rules for WCAG 2.0 to 2.2, A and AA, and its best practices. Fold-outs are opened first, so that what
 * they hold is looked at too.
 */
export async function inspectPage(path: string): Promise<PageInspection> {
  const { chromium } = await import("playwright-core");
  const browser = await chromium.launch({ executablePath: chromiumPath() ?? undefined, args: ARGS });
  try {
    const url = pathToFileURL(path).href;
    const troubles: string[] = [], violations: string[] = [];
    let contrastMeasured = true;
    for (const theme of ["light", "dark"] as const) {
      const found = await inAxe(browser, url, theme, troubles);
      violations.push(...found.violations);
      contrastMeasured &&= found.contrast;
    }
    const page = await open(browser, url, { width: 1400, height: 1000 }, "light", troubles);
    const { unseen, count } = await figuresIn(page);
    const focusless = await walkByKeyboard(page);
    await page.context().close();
    const overflowAt = async (width: number): Promise<number> => {
      const narrow = await open(browser, url, { width, height: 844 }, "light", troubles);
      const wider: number = await narrow.evaluate(
        "document.documentElement.scrollWidth - document.documentElement.clientWidth",
      );
      await narrow.context().close();
      return wider;
    };
    const overflow = { at390: await overflowAt(390), at320: await overflowAt(320) };
    const desk = await open(browser, url, { width: 1200, height: 900 }, "light", troubles);
    const wideTables: string[] = await desk.evaluate(`(() => {
      for (const fold of document.querySelectorAll("details")) fold.open = false;
      return [...document.querySelectorAll(".table-scroll")].filter((each) => each.checkVisibility())
        .map((each) => [each.getAttribute("aria-label"), each.scrollWidth - each.clientWidth]).filter(([, over]) => over > 0)
        .map(([label, over]) => label + ": " + over);
    })()`);
    await desk.context().close();
    return {
      troubles,
      unseenFigures: unseen,
      figures: count,
      violations,
      contrastMeasured,
      overflow,
      wideTables,
      focusless,
    };
  } finally {
    await browser.close();
  }
}

async function open(
  browser: Browser,
  url: string,
  viewport: { width: number; height: number },
  colorScheme: "light" | "dark",
  troubles: string[],
): Promise<Page> {
  const context = await browser.newContext({ viewport, colorScheme, offline: true });
  const page = await context.newPage();
  page.on("console", (message) => {
    if (["error", "warning"].includes(message.type())) troubles.push(`console: ${message.text()}`);
  });
  page.on("pageerror", (error) => troubles.push(`error: ${error.message}`));
  page.on("request", (request) => {
    if (request.url() !== url && !request.url().startsWith("data:")) {
      troubles.push(`request: ${request.url()}`);
    }
  });
  page.on("requestfailed", (request) => troubles.push(`failed: ${request.url()}`));
  page.on("dialog", (dialog) => {
    troubles.push(`dialog: ${dialog.message()}`);
    void dialog.dismiss();
  });
  await page.goto(url, { waitUntil: "load" });
  return page;
}

interface AxeResult {
  readonly violations: readonly {
    readonly id: string;
    readonly nodes: readonly { readonly target: readonly unknown[]; readonly failureSummary?: string }[];
  }[];
  readonly passes: readonly { readonly id: string; readonly nodes: readonly unknown[] }[];
}

async function inAxe(
  browser: Browser,
  url: string,
  theme: "light" | "dark",
  troubles: string[],
): Promise<{ violations: string[]; contrast: boolean }> {
  const page = await open(browser, url, { width: 1400, height: 1000 }, theme, troubles);
  await page.evaluate("document.querySelectorAll('details').forEach((each) => { each.open = true; })");
  // The page's own policy forbids scripts; this one comes through the debugging protocol, which no policy stops.
  const source = await Deno.readTextFile(new URL("../../node_modules/axe-core/axe.min.js", import.meta.url));
  await page.evaluate(source);
  const tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];
  // Selectors are built for violations only: on a long page building them all takes a minute.
  const options = { runOnly: { type: "tag", values: tags }, resultTypes: ["violations"] };
  const result = await page.evaluate(
    `axe.run(document, ${JSON.stringify(options)})`,
  ) as AxeResult;
  await page.context().close();
  const violations = result.violations.flatMap(({ id, nodes }) =>
    nodes.map(({ target, failureSummary }) =>
      `${theme}: ${id}: ${target.join(" ")}: ${failureSummary?.split("\n")[1]?.trim() ?? ""}`
    )
  );
  const contrast = [...result.passes, ...result.violations].some(({ id }) => id === "color-contrast");
  return { violations, contrast };
}

async function figuresIn(page: Page): Promise<{ unseen: string[]; count: number }> {
  return await page.evaluate(`(() => {
    // A drawing in a folded part must be there once its reader opens it.
    const folded = [...document.querySelectorAll("details:not([open])")];
    for (const each of folded) each.open = true;
    const drawings = [...document.querySelectorAll("figure svg, figure img")];
    const unseen = drawings.flatMap((drawing, i) => {
      const { width, height } = drawing.getBoundingClientRect();
      const marks = drawing.tagName === "IMG" ? (drawing.naturalWidth > 0 ? 1 : 0)
        : [...drawing.querySelectorAll("path, circle, rect, line, text, polygon, polyline")]
          .filter((mark) => { const box = mark.getBoundingClientRect(); return box.width + box.height > 0; }).length;
      const visible = drawing.checkVisibility({ opacityProperty: true, visibilityProperty: true });
      return width > 200 && height > 50 && visible && marks > 0 ? [] : [(i + 1) + " " + (drawing.getAttribute("aria-label") ?? "")];
    });
    for (const each of folded) each.open = false;
    return { unseen, count: drawings.length };
  })()`) as { unseen: string[]; count: number };
}

/** Presses Tab through the page and collects what takes the focus without showing it, and what is never reached. */
async function walkByKeyboard(page: Page): Promise<string[]> {
  const wanted = await page.evaluate(`(() => {
    const all = [...document.querySelectorAll("a[href], summary, [tabindex='0']")].filter((each) => each.checkVisibility());
    all.forEach((each, i) => { each.dataset.walk = String(i); });
    return all.length;
  })()`) as number;
  // A player has buttons of its own, which a page does not see.
  const players = await page.evaluate(
    `[...document.querySelectorAll("audio")].filter((each) => each.checkVisibility()).length`,
  ) as number;
  const reached = new Set<string>(), faults: string[] = [];
  for (let press = 0; press < wanted + 20 + 8 * players && reached.size < wanted; press++) {
    await page.keyboard.press("Tab");
    const at = await page.evaluate(`(() => {
      const on = document.activeElement;
      const style = getComputedStyle(on);
      return { walk: on.dataset.walk ?? "", shows: style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2, what: on.outerHTML.slice(0, 80) };
    })()`) as { walk: string; shows: boolean; what: string };
    if (at.walk === "") continue;
    reached.add(at.walk);
    if (!at.shows) faults.push(`no outline: ${at.what}`);
  }
  if (reached.size < wanted) faults.push(`reached ${reached.size} of ${wanted}`);
  return faults;
}
