import type { Browser, BrowserContext, Page } from "playwright-core";
import { type FieldRules, fitFieldRules } from "../../lib/decide/mod.ts";
import { type DigLog, loadDigLog, type MachinesFile, parseMachines } from "../../lib/log/mod.ts";
import { phonePage } from "../../lib/writeup/phone_page.ts";
import type { PhoneLog } from "../../lib/writeup/phone_log.ts";
import { chromiumPath } from "./_programs.ts";

const root = Deno.env.get("OVERIRON_ROOT") ?? Deno.cwd();

/** The demo season, its rules, and the phone page made with them. */
export interface PhoneKit {
  readonly machines: MachinesFile;
  readonly digLog: DigLog;
  readonly rules: FieldRules;
  readonly html: string;
}

export async function phoneKit(): Promise<PhoneKit> {
  const machines = parseMachines(await Deno.readTextFile(`${root}/datasets/demo/machines.json`));
  const bytes = await Deno.readFile(`${root}/datasets/demo/dig-log.csv`);
  const digLog = await loadDigLog({ name: "dig-log.csv", bytes }, machines);
  const rules = await fitFieldRules(digLog.season, { seed: 1 });
  return { machines, digLog, rules, html: await phonePage({ machines, rules, worth: 5 }) };
}

export const ARGS: readonly string[] = [
  "--no-sandbox",
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
];

export async function launch(): Promise<Browser> {
  const { chromium } = await import("playwright-core");
  return await chromium.launch({ executablePath: chromiumPath() ?? undefined, args: [...ARGS] });
}

/** Everything a page must not do: say something on the console, fail, or ask for anything but itself. */
export function watch(page: Page, troubles: string[]): void {
  page.on("console", (message) => troubles.push(`console: ${message.text()}`));
  page.on("pageerror", (error) => troubles.push(`error: ${error.message}`));
  page.on("request", (request) => {
    const url = request.url();
    const own = url.split("#")[0] === page.url().split("#")[0] || page.url() === "about:blank";
    if (!url.startsWith("data:") && !url.startsWith("blob:") && !own) troubles.push(`request: ${url}`);
  });
}

export const ready = (page: Page): Promise<unknown> => page.waitForSelector("html[data-ready]");
export const stored = (page: Page): Promise<unknown> => page.waitForSelector(".status[data-state=stored]");

/** Presses a button of the page by its key. */
export const tap = (page: Page, key: string): Promise<void> =>
  page.locator(`[data-key="${key}"]`).first().click();

/**
 * Presses buttons one after the other, and waits until the last is stored. Each is pressed inside the page, where a finger would press it:
 * in sight, not covered by anything, not disabled. (Playwright's own click waits two pictures a press; `tap` does that.)
 */
export async function taps(page: Page, keys: string): Promise<void> {
  const list = keys.split("  ").map((key) => key.trim());
  const fault = await page.evaluate(`(async () => {
    for (const key of ${JSON.stringify(list)}) {
      let button = null;
      for (let i = 0; i < 300 && button === null; i++) {
        button = document.querySelector('[data-key="' + CSS.escape(key) + '"]');
        if (button === null) await new Promise((resolve) => setTimeout(resolve, 10));
      }
      if (button === null) return "no button " + key + " in " + location.hash;
      if (button.disabled) return "the button " + key + " is disabled";
      button.scrollIntoView({ block: "center" });
      const at = button.getBoundingClientRect();
      const top = document.elementFromPoint(at.left + at.width / 2, at.top + at.height / 2);
      if (top === null || !button.contains(top)) return "the button " + key + " is covered by " + top?.outerHTML.slice(0, 80);
      button.click();
    }
    return "";
  })()`);
  if (fault !== "") throw new Error(String(fault));
  await stored(page);
}

/** What lies in the phone's storage, past the page's own script. */
export function storage(page: Page): Promise<PhoneLog & { readonly saved: number }> {
  return page.evaluate(`new Promise((resolve, reject) => {
    const open = indexedDB.open("overiron-field");
    open.onerror = () => reject(open.error);
    open.onsuccess = () => {
      const transaction = open.result.transaction(["outings", "signals", "meta"]);
      const [outings, signals] = ["outings", "signals"].map((name) => transaction.objectStore(name).getAll());
      const saved = transaction.objectStore("meta").get("saved");
      transaction.oncomplete = () => {
        open.result.close();
        resolve({ outings: outings.result, signals: signals.result, saved: saved.result ?? 0 });
      };
    };
  })`) as Promise<PhoneLog & { readonly saved: number }>;
}

/** A page on a telephone, with the network off. */
export async function phone(
  browser: Browser,
  url: string,
  troubles: string[],
  options: { readonly theme?: "light" | "dark"; readonly width?: number; readonly clock?: string } = {},
): Promise<{ readonly page: Page; readonly context: BrowserContext }> {
  const { theme = "light", width = 390, clock = "2026-05-02T10:15:00" } = options;
  const context = await browser.newContext({
    viewport: { width, height: 844 },
    colorScheme: theme,
    offline: true,
    acceptDownloads: true,
    timezoneId: "Pacific/Auckland",
  });
  const page = await context.newPage();
  await page.clock.setFixedTime(new Date(`${clock}+12:00`));
  watch(page, troubles);
  await page.goto(url);
  await ready(page);
  return { page, context };
}

export async function startOuting(page: Page, site = "K7"): Promise<void> {
  await taps(page, "Start an outing  settings=A-open");
  await page.fill("#entry-site", site);
  await taps(page, "moisture=damp  Start");
}

/** Digits and marks of one cell as keys of the pad: a space is the key for the next pass, a point "no number". */
export const padKeys = (cell: string): string[] =>
  [...cell.replaceAll(" .", ".")].map((sign) =>
    `pad-${sign === " " ? "next" : sign === "." ? "none" : sign === "-" ? "to" : sign}`
  );
