import { expect, test } from "vitest";
import { killPage, summaryOf } from "../../lib/commands/_kill_page.ts";
import { type Kill, killRuns } from "../../lib/commands/_kill_runs.ts";
import { plainCells, smallProject } from "../writeup/_small_write_up.ts";
import { exists, root } from "./_season.ts";

// The long form is a task of its own, `deno task kill-season`.
test.runIf(exists("/proc/self/stat"))(
  "a run killed on its way leaves the earlier write-up whole, no process and no folder, and the next run works",
  async () => {
    const project = await smallProject({
      plain: [...plainCells, "await new Promise((go) => setTimeout(go, 500))"],
    });
    const place = await Deno.realPath(await Deno.makeTempDir());
    try {
      const kills = await killRuns({
        kills: 3,
        seed: 2,
        place,
        cwd: root,
        command: ({ seed, out }) => [
          ...["run", "-A", "--no-lock", `${root}/tests/commands/_small_season.ts`, project, out, `${seed}`],
        ],
      });
      expect(kills.filter(({ processes }) => processes > 0).length).toBeGreaterThan(1);
      for (const { found, orphans, next_run } of kills) {
        expect(["the earlier", "the new"]).toContain(found);
        expect(orphans).toBe(0);
        // Started without the task's own temporary folder: only what lies beside the write-up counts here.
        expect(next_run ?? "").toMatch(
          /^(left lying: write-up, write-up\.rejected(, overiron-kernel-\w+)+)?$/,
        );
      }
    } finally {
      await Deno.remove(place, { recursive: true });
      await Deno.remove(project, { recursive: true });
    }
  },
  60_000,
);

test("a broken write-up, an orphan or a failing next run is counted as not in order", () => {
  const good: Kill = {
    moment: 0.5,
    run: "from the cache",
    killed: "worker",
    processes: 4,
    beside: [".lock", ".staged"],
    found: "the earlier",
    orphans: 0,
    last_alive_ms: 100,
    next_run: null,
  };
  const kills: Kill[] = [
    good,
    { ...good, found: "moved", beside: [".before", ".lock", ".ready"] },
    { ...good, found: "BROKEN" },
    { ...good, orphans: 1, last_alive_ms: 10_000 },
    { ...good, next_run: "status 2: no" },
    { ...good, processes: 0, beside: [], found: "the new" },
  ];
  const summary = summaryOf(kills);
  expect(summary).toMatchObject({ kills: 6, struck: 5, good: 3, half_done: 5 });
  expect(summary.found).toEqual({ "the earlier": 3, "the new": 1, moved: 1, BROKEN: 1 });
  const share_bad = { share: 0.5, low: 0.2, high: 0.8, of: 6 };
  const page = killPage({ command: "x", ...summary, bad: 3, share_bad, found: kills });
  expect(page).toContain("| not in order | 3 of 6: 50.0 % (95 % interval 20.0 to 80.0, Wilson) |");
});

test("the stored series of two hundred kills left all in order, and its page is made from it", () => {
  const read = (name: string) =>
    Deno.readTextFileSync(new URL(`../../datasets/proofs/${name}`, import.meta.url));
  const stored = JSON.parse(read("kills.json"));
  expect(summaryOf(stored.found)).toMatchObject({ kills: 200, good: 200 });
  expect(killPage(stored)).toBe(read("kills.md"));
});
