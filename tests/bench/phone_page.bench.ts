// The phone page with a forest of 200 trees from 600 dug signals or so, in Chromium: its size, the scripting until it is ready, a verdict.
import { chromium } from "playwright-core";
import { fitFieldRules } from "../../lib/decide/mod.ts";
import { loadDigLog, parseMachines } from "../../lib/log/mod.ts";
import { virtualSeasonFiles } from "../../lib/virtual/mod.ts";
import { phonePage } from "../../lib/writeup/phone_page.ts";

const executablePath = ["/usr/bin/chromium", "/usr/bin/google-chrome"].find((each) => {
  try {
    return Deno.statSync(each).isFile;
  } catch {
    return false;
  }
});

Deno.bench(
  "phone page with a forest, in Chromium",
  { n: 1, warmup: 0, ignore: executablePath === undefined },
  async () => {
    const files = new Map<string, string>();
    for (const { name, text } of virtualSeasonFiles({ signals: 1300, seed: 1 })) {
      files.set(name, (files.get(name) ?? "") + text);
    }
    const machines = parseMachines(files.get("machines.json")!);
    const { season } = await loadDigLog({
      name: "log.csv",
      bytes: new TextEncoder().encode(files.get("dig-log.csv")!),
    }, machines);
    const rules = await fitFieldRules(season, { seed: 1, engine: "forest" });
    const html = await phonePage({ machines, rules });
    const learnt = rules.rules.map(({ learntFrom }) => learntFrom.signals).join(" and ");
    console.log(
      `Page: ${
        Math.round(new TextEncoder().encode(html).length / 1000)
      } kB with forests from ${learnt} dug signals`,
    );

    const path = await Deno.makeTempFile({ suffix: ".html" });
    await Deno.writeTextFile(path, html);
    const browser = await chromium.launch({
      ...(executablePath ? { executablePath } : {}),
      args: ["--no-sandbox"],
    });
    const page = await browser.newPage({ viewport: { width: 390, height: 844 } });
    const session = await page.context().newCDPSession(page);
    // Time of the page's own thread: what else the computer does is not in it.
    await session.send("Performance.enable", { timeDomain: "threadTicks" });
    const metric = async (of: string): Promise<number> => {
      const { metrics } = await session.send("Performance.getMetrics");
      return 1000 * metrics.find(({ name }) => name === of)!.value;
    };
    await page.goto(`file://${path}`);
    await page.waitForSelector("html[data-ready]");
    console.log(`Scripting until ready: ${Math.round(await metric("ScriptDuration"))} ms of processor time`);
    const rule = rules.rules.reduce((a, b) => b.learntFrom.signals > a.learntFrom.signals ? b : a);
    await page.click('[data-key="Start an outing"]');
    await page.click(`[data-key="settings=${rule.settings.find((name) => name !== null)}"]`);
    await page.fill("#entry-site", "K7");
    for (const key of ["Start", "New signal", "pad-4", "pad-1", "pad-2", "step-signs", "my_call=good"]) {
      await page.click(`[data-key="${key}"]`);
    }
    const before = await metric("TaskDuration");
    await page.evaluate(`(() => {
  for (let i = 0; i < 40; i++) {
    document.querySelector('[data-key="step-signs"]').click();
    document.querySelector('[data-key="step-verdict"]').click();
    if (document.querySelector(".verdict") === null) throw new Error("no verdict");
  }
})()`);
    const pair = (await metric("TaskDuration") - before) / 40;
    console.log(
      `Verdict and the page before it, both drawn: ${pair.toFixed(1)} ms of processor time (mean of 40)`,
    );
    const times = await page.evaluate(`(async () => {
  const times = [];
  for (let i = 0; i < 21; i++) {
    document.querySelector('[data-key="step-signs"]').click();
    await new Promise((resolve) => setTimeout(resolve, 30));
    const shown = new Promise((resolve) => {
      new MutationObserver((_, observer) => {
        if (document.querySelector(".verdict") === null) return;
        observer.disconnect();
        resolve();
      }).observe(document.body, { childList: true, subtree: true });
    });
    const from = performance.now();
    document.querySelector('[data-key="step-verdict"]').click();
    await shown;
    times.push(performance.now() - from);
  }
  return times;
})()`) as number[];
    const later = times.slice(1).sort((a, b) => a - b);
    console.log(
      `Verdict: ${later[10]!.toFixed(1)} ms from press to page (median of 20); the first: ${
        times[0]!.toFixed(1)
      } ms`,
    );
    await browser.close();
    await Deno.remove(path);
  },
);
