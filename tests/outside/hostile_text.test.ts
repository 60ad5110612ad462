import { pathToFileURL } from "node:url";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { csvText } from "../../lib/log/mod.ts";
import { visible } from "../../lib/writeup/_visible.ts";
import { type Ended, filesOf, season } from "../commands/_season.ts";
import { HOSTILE } from "./_hostile.ts";
import { inspectPage } from "./_inspect_page.ts";
import { chromiumPath, mustHavePrograms } from "./_programs.ts";

const at = (i: number): string => HOSTILE[i % HOSTILE.length]!;
/** For sites, observers and notes: a name that held one of these would be shown with a number instead. */
const own = (i: number): string => `${at(i)} of the log`;
/** As long as a name may be. */
const name = (i: number): string => at(i).slice(0, 90);
const title = `A season ${HOSTILE[1]} \u202eof\u202c ${HOSTILE[3]}`,
  author = `Digger ${HOSTILE[5]} ${HOSTILE[0]}`;

const tones = (first: number) => ({
  name: name(first),
  kind: "bands",
  breaks: [200, 400],
  bands: [0, 1, 2].map((i) => ({ name: name(first + i), pitch_hz: 220 * (i + 1), loudness: 1 })),
});
const machines = {
  schema: "overiron-machines/1",
  machines: [3, 27].map((first) => ({
    machine: name(first),
    scale: { low: 0, high: 600, step: 1 },
    iron_break: 200,
    tones: tones(first + 1),
    notes: at(first),
  })),
  settings: [8, 20].map((first, i) => ({
    settings: name(first),
    machine: name([3, 27][i]!),
    discrimination: "none",
    mode: name(first + 1),
    software_version: name(first + 2),
    notes: at(first + 3),
  })),
};
const digHead = [
  ...["signal_id", "outing_id", "date", "site", "settings", "observer", "ground", "moisture", "tone_heard"],
  ...[
    "rule_version",
    "hole_id",
    "stopped_why",
    "readings_right",
    "readings_left",
    "dug",
    "result",
    "metal",
    "keep",
  ],
  ...["what", "notes", "latitude", "longitude", at(3), at(0)],
];
const dig = Array.from({ length: 68 }, (_, i) => {
  const iron = i % 2 === 0, base = iron ? 100 : 420;
  return [
    `${i} ${at(i)}`,
    `${at(i % 4)} ${i % 4}`,
    `2025-0${1 + i % 8}-03`,
    own(i % 4),
    name(i % 3 === 0 ? 20 : 8),
    own(i % 3),
    ...[1, 2, 3, 4].map((step) => at(i + step)),
    `h${i} ${at(i)}`,
    "",
    `${base + i % 7} ${base + 3} x`,
    `${base + i % 5} ${base + 1}`,
    "yes",
    "found",
    iron ? "ferrous" : "non-ferrous",
    iron ? "no" : "yes",
    at(i + 6),
    own(i + 7),
    "50.5",
    "-3.5",
    at(i + 8),
    at(i + 9),
  ];
});
const gardenHead = [
  ...[
    "trial_id",
    "block",
    "settings",
    "spot",
    "target",
    "neighbour",
    "neighbour_kind",
    "gap_cm",
    "depth_cm",
    "side",
  ],
  ...["readings_right", "readings_left", "tone_heard", "notes"],
];
const pairs = [0, 7, 12, 19, 22, 27, 29, 30];
const garden = pairs.flatMap((of, p) =>
  [null, 1, 4, 8].flatMap((gap, k) =>
    [0, 1].map((again) => [
      `${p}${k}${again} ${at(of)}`,
      `${again} ${at(p)}`,
      name(8),
      at(k),
      name(of),
      gap === null ? "none" : name(of + 1),
      gap === null ? "" : name(of + 2),
      gap === null ? "" : `${gap}`,
      "8",
      gap === null ? "" : "right",
      `${gap === null ? 480 : 200 + 30 * gap} ${gap === null ? 482 : 203 + 30 * gap}`,
      `${gap === null ? 481 : 201 + 30 * gap}`,
      at(p + 2),
      at(p + 3),
    ])
  )
);

describe.runIf(chromiumPath() !== null || mustHavePrograms())(
  "hostile text in every field and option",
  () => {
    let room = "", ended: Ended;
    beforeAll(async () => {
      room = await Deno.makeTempDir();
      const put = (path: string, text: string): string => {
        Deno.writeTextFileSync(`${room}/${path}`, text);
        return `${room}/${path}`;
      };
      ended = await season([
        put("dig.csv", csvText([digHead, ...dig])),
        ...["--trials", put("garden.csv", csvText([gardenHead, ...garden]))],
        ...["--machines", put("machines.json", JSON.stringify(machines))],
        ...["--title", title, "--author", author, "--out", `${room}/out`],
      ]);
    }, 300_000);
    afterAll(() => Deno.remove(room, { recursive: true }));

    test("is published, with every row taken", () => {
      expect(ended.stderr).toContain("The write-up:");
      expect(ended.stderr).not.toContain("set aside");
      expect(ended.code).toBe(0);
      // Nothing that was said could turn or steer the terminal.
      // deno-lint-ignore no-control-regex
      expect(ended.stderr).not.toMatch(/[\x00-\x08\x1b\u202a-\u202e\u2066-\u2069]/);
      const listing = Deno.readTextFileSync(`${room}/out.rejected/what-is-published.txt`);
      expect(listing).toContain(visible(name(27)));
    });

    test("opens in Chromium without a dialog, a script, a request, a navigation or a fault", async () => {
      const found = await inspectPage(`${room}/out/index.html`);
      expect(found.troubles).toEqual([]);
      expect(found.unseenFigures).toEqual([]);
      expect(found.violations).toEqual([]);
      expect(found.focusless).toEqual([]);
    }, 180_000);

    test("keeps its title and its parts, and nothing in it can run or lead away", async () => {
      const { chromium } = await import("playwright-core");
      const browser = await chromium.launch({
        executablePath: chromiumPath() ?? undefined,
        args: ["--no-sandbox"],
      });
      try {
        const page = await (await browser.newContext({ offline: true })).newPage();
        const url = pathToFileURL(`${room}/out/index.html`).href;
        const gone: string[] = [];
        page.on("framenavigated", (frame) => gone.push(frame.url()));
        page.on("dialog", (dialog) => void dialog.dismiss());
        await page.goto(url);
        const seen = await page.evaluate(`(() => {
        const all = [...document.querySelectorAll("*")];
        const attributes = all.flatMap((each) => [...each.attributes].map(({ name, value }) => [each.localName, name.toLowerCase(), value]));
        return {
          title: document.title,
          headings: [...document.querySelectorAll("h1")].map((each) => each.textContent),
          byline: document.querySelector(".byline").textContent,
          elements: [...new Set(all.map((each) => each.localName))].sort(),
          handlers: attributes.filter(([, name]) => name.startsWith("on")).map(String),
          addresses: attributes.filter(([, name]) => /^(href|src|xlink:href|action|formaction|srcset|data|poster|background|srcdoc)$/.test(name))
            .map(([, , value]) => value),
          hit: globalThis.hit ?? null,
          text: document.documentElement.outerHTML,
        };
      })()`) as Record<string, any>;
        expect(seen.title).toBe(visible(title));
        expect(seen.headings).toEqual([visible(title)]);
        expect(seen.byline).toContain(visible(author));
        for (
          const element of ["script", "iframe", "object", "embed", "form", "base", "button", "foreignobject"]
        ) {
          expect(seen.elements).not.toContain(element);
        }
        expect(seen.handlers).toEqual([]);
        const strange = (seen.addresses as string[]).filter((address) =>
          !/^(#[\w-]+|[A-Za-z0-9][\w./-]*|https:\/\/doi\.org\/\S+|data:,|data:(audio\/wav|image\/png);base64,\S+)$/
            .test(address)
        );
        expect(strange.filter((address) => !/^https:\/\/(?!evil)/.test(address))).toEqual([]);
        expect(seen.hit).toBe(null);
        expect(seen.text).not.toMatch(/[\u202a-\u202e\u2066-\u2069\u200b\u2060\ufeff]/);
        // The names are there, as text.
        expect(seen.text).toContain("&lt;img src=x onerror=alert(3)&gt;");
        expect(gone).toEqual([url]);
      } finally {
        await browser.close();
      }
    }, 120_000);

    test("leaves no formula for a spreadsheet in the data, and no free text of the field", () => {
      for (const [path, text] of filesOf(`${room}/out/data`)) {
        if (!path.endsWith(".csv")) continue;
        const cells = text.split(/\r?\n/).flatMap((line) => line.split(/,(?=(?:[^"]*"[^"]*")*[^"]*$)/));
        expect(cells.filter((cell) => /^"?[=+@]/.test(cell) || /^"?-(?![\d.])/.test(cell))).toEqual([]);
      }
      const signals = filesOf(`${room}/out/data`).get("signals.csv")!;
      expect(signals).not.toContain("javascript:");
    });
  },
);
