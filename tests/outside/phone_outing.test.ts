import type { Browser, Page } from "playwright-core";
import { describe, expect, test } from "vitest";
import { loadDigLog } from "../../lib/log/mod.ts";
import { chance } from "../../lib/numbers/mod.ts";
import { phoneCsv } from "../../lib/writeup/phone_log.ts";
import { chromiumPath, mustHavePrograms } from "./_programs.ts";
import {
  ARGS,
  padKeys,
  type PhoneKit,
  phoneKit,
  ready,
  startOuting,
  storage,
  stored,
  tap,
} from "./_phone.ts";

// The long outing (60 signals, 20 kills) is `deno task long-outing`; the suite walks a short one.
const SIGNALS = Number(Deno.env.get("OVERIRON_OUTING") ?? 8);
const KILLS = Math.max(3, Math.round(SIGNALS / 3));

/** A browser in a process of its own, with a profile that outlives it. */
async function startBrowser(
  profile: string,
): Promise<{ browser: Browser; page: Page; kill: () => Promise<void> }> {
  await Deno.remove(`${profile}/DevToolsActivePort`).catch(() => {});
  const child = new Deno.Command(chromiumPath()!, {
    args: [
      ...ARGS,
      "--headless=new",
      "--remote-debugging-port=0",
      `--user-data-dir=${profile}`,
      "about:blank",
    ],
    stdin: "null",
    stdout: "null",
    stderr: "null",
  }).spawn();
  let port = "";
  for (let i = 0; i < 200 && port === ""; i++) {
    await new Promise((resolve) => setTimeout(resolve, 50));
    port = (await Deno.readTextFile(`${profile}/DevToolsActivePort`).catch(() => "")).split("\n")[0]!;
  }
  const { chromium } = await import("playwright-core");
  const browser = await chromium.connectOverCDP(`http://127.0.0.1:${port}`);
  const context = browser.contexts()[0]!;
  await context.setOffline(true);
  const page = context.pages()[0] ?? await context.newPage();
  await page.setViewportSize({ width: 390, height: 844 });
  const kill = async (): Promise<void> => {
    child.kill("SIGKILL");
    await child.status;
    await browser.close().catch(() => {});
  };
  return { browser, page, kill };
}

interface Tap {
  readonly key: string;
  /** Where the tap is made: the step of the signal, and the cell that the keypad writes into. */
  readonly step: string;
  readonly cell?: string;
}

/** What the person means to write for signal `i`, and the taps that write it. */
function script(
  i: number,
): {
  readonly values: Record<string, string>;
  readonly finds: Record<string, string>[];
  readonly taps: Tap[];
} {
  const stream = chance(7, "outing", i);
  const pick = <T>(list: readonly T[]): T => list[Math.floor(stream.next() * list.length)]!;
  const reading = (): string => String(Math.floor(stream.next() * 600));
  const cell = (): string =>
    Array.from({ length: 1 + Math.floor(stream.next() * 2) }, () => stream.next() < 0.15 ? "." : reading())
      .join(" ");
  const values: Record<string, string> = {
    readings_right: cell(),
    readings_left: cell(),
    both_ways: pick(["yes", "no"]),
    after_turn: pick(["holds", "changes", "gone"]),
    depth_indicated: pick(["shallow", "middle", "deep"]),
    my_call: pick(["good", "iron", "cannot-say"]),
    dug: pick(["yes", "yes", "no"]),
  };
  const finds: Record<string, string>[] = [];
  const taps: Tap[] = ["readings_right", "readings_left"].flatMap((name) =>
    padKeys(values[name]!).map((key) => ({ key, step: "passes", cell: name }))
  );
  for (const name of ["both_ways", "after_turn", "depth_indicated", "my_call"]) {
    taps.push({ key: `${name}=${values[name]}`, step: "signs" });
  }
  taps.push({ key: `dug=${values.dug}`, step: "hole" });
  if (values.dug === "yes") {
    values.result = "found";
    finds.push({ metal: pick(["ferrous", "non-ferrous"]), keep: pick(["yes", "no"]) });
    taps.push({ key: "result=found", step: "hole" });
    for (const [name, value] of Object.entries(finds[0]!)) {
      taps.push({ key: `${name}-0=${value}`, step: "hole" });
    }
  }
  return { values, finds, taps };
}

describe.runIf(chromiumPath() !== null || mustHavePrograms())("an outing on the phone page", () => {
  test(
    `${SIGNALS} signals with the browser killed ${KILLS} times lose at most the tap in flight`,
    async () => {
      const kit: PhoneKit = await phoneKit();
      const folder = await Deno.makeTempDir();
      await Deno.writeTextFile(`${folder}/page.html`, kit.html);
      const url = `file://${folder}/page.html`;
      const stream = chance(11, "kills", SIGNALS);
      const all = Array.from({ length: SIGNALS }, (_, i) => script(i));
      const total = all.reduce((sum, { taps }) => sum + taps.length, 0);
      const killAt = new Set<number>();
      while (killAt.size < KILLS) killAt.add(Math.floor(stream.next() * total));
      let { browser, page, kill } = await startBrowser(`${folder}/profile`);
      let made = 0, lost = 0, kept = 0, most = 0;
      try {
        await page.goto(url);
        await ready(page);
        await startOuting(page);
        for (const { taps } of all) {
          let step = "passes", cell = "readings_right", count = 1;
          await tap(page, await page.evaluate("location.hash.startsWith('#signal')") ? "List" : "Home").catch(
            () => {},
          );
          if (await page.locator(`[data-key="New signal"]`).count() === 0) {
            await page.locator(`[data-key^="Go on"]`).first().click();
          }
          await tap(page, "New signal");
          await page.waitForSelector(".keys");
          await stored(page);
          for (let k = 0; k < taps.length; k++) {
            const each = taps[k]!;
            if (each.step !== step) {
              await tap(page, `step-${each.step}`);
              count++;
            }
            if (each.cell !== undefined && each.cell !== cell) {
              await tap(page, `cell-${each.cell}`);
              count++;
            }
            [step, cell] = [each.step, each.cell ?? cell];
            count++;
            if (!killAt.has(made++)) {
              await tap(page, each.key);
              await stored(page);
              continue;
            }
            const hash = await page.evaluate("location.hash") as string;
            const before = await storage(page);
            // In flight: pressed, and the browser is dead a moment later.
            await page.evaluate(
              `setTimeout(() => document.querySelector('[data-key="${each.key}"]').click(), 0)`,
            );
            await new Promise((resolve) => setTimeout(resolve, Math.floor(stream.next() * 12)));
            await kill();
            ({ browser, page, kill } = await startBrowser(`${folder}/profile`));
            await page.goto(url + hash);
            await ready(page);
            const after = await storage(page);
            const bare = (log: typeof before) => JSON.stringify([log.outings, log.signals]);
            if (bare(after) === bare(before)) {
              lost++;
              await page.waitForSelector(`[data-key="step-${step}"]`);
              if (each.cell !== undefined) await tap(page, `cell-${each.cell}`);
              await tap(page, each.key);
              await stored(page);
            } else {
              // Then it is the tap itself that was stored, whole, and nothing else differs.
              kept++;
              const ids = after.signals.filter((signal, at) =>
                JSON.stringify(signal) !== JSON.stringify(before.signals[at])
              );
              expect(ids).toHaveLength(1);
              if (each.cell !== undefined) await tap(page, `cell-${each.cell}`);
            }
          }
          most = Math.max(most, count);
        }
        const log = await storage(page);
        expect(log.signals.map(({ number }) => number)).toEqual(all.map((_, i) => i + 1));
        log.signals.forEach(({ values, finds }, i) => {
          const { seen_at: _, ...typed } = values;
          expect(typed).toEqual(all[i]!.values);
          expect(finds).toEqual(all[i]!.finds);
        });
        expect(lost + kept).toBe(KILLS);
        // What was stored is what the kit loads.
        const loaded = await loadDigLog(
          { name: "log.csv", bytes: new TextEncoder().encode(phoneCsv(log)) },
          kit.machines,
        );
        expect(loaded.report.rejected).toEqual([]);
        expect(loaded.season.signals).toHaveLength(SIGNALS);
        console.info(
          `${KILLS} kills: ${kept} taps in flight were stored, ${lost} were not; most taps for a signal: ${most}`,
        );
      } finally {
        await kill().catch(() => {});
        await browser.close().catch(() => {});
        await Deno.remove(folder, { recursive: true }).catch(() => {});
      }
    },
    900_000,
  );
});
