import { wilsonInterval } from "../numbers/mod.ts";
import { readCommandLine, seedOf, wholeOf } from "./_command_line.ts";
import { type Kill, killRuns } from "./_kill_runs.ts";
import { killPage, summaryOf } from "./_kill_page.ts";
import { root, runTask, say } from "./_run.ts";
import { writeProof } from "./_write_proof.ts";

await runTask(async (args) => {
  const line = readCommandLine("kill-season", args);
  const kills = wholeOf(line, "kills", { fallback: 200 }), seed = seedOf(line);
  const place = await Deno.realPath(await Deno.makeTempDir({ prefix: "kill-season-" }));
  let found: Kill[];
  try {
    const [log, machines] = [`${place}/log.csv`, `${place}/machines.json`];
    await Deno.copyFile(`${root}/datasets/smallest-log.csv`, log);
    await Deno.copyFile(`${root}/datasets/demo/machines.json`, machines);
    found = await killRuns({
      kills,
      seed,
      place,
      cwd: root,
      command: ({ seed, out, fresh }) => [
        ...["task", "--quiet", "season", log, "--machines", machines, "--out", out, "--seed", `${seed}`],
        ...(fresh ? ["--fresh"] : []),
      ],
      onKill: (kill, at) =>
        say(
          `${at} of ${kills}: ${kill.killed} killed at ${
            kill.moment.toFixed(3)
          } of a run (${kill.run}, ${kill.processes} at work): ` +
            `${kill.found}; ${kill.orphans} orphans; ${kill.next_run ?? "the next run works"}`,
        ),
    });
  } finally {
    await Deno.remove(place, { recursive: true });
  }
  const summary = summaryOf(found);
  const bad = kills - summary.good;
  const { low, high } = wilsonInterval(bad, kills);
  const command = `deno task kill-season --kills ${kills} --seed ${seed}`;
  const proof = { command, ...summary, bad, share_bad: { share: bad / kills, low, high, of: kills }, found };
  await writeProof("kills", proof, {
    dry: line.switches.has("dry"),
    pages: [{ name: "kills.md", text: killPage(proof) }],
  });
  say(`${summary.good} of ${kills} kills left all in order.`);
  return bad === 0 ? 0 : 3;
});
