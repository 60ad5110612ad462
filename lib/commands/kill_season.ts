import { wilsonInterval } from "../numbers/mod.ts";
import { CommandLineFault, readCommandLine, seedOf } from "./_command_line.ts";
import { type Kill, killRuns } from "./_kill_runs.ts";
import { killPage, summaryOf } from "./_kill_page.ts";
import { root, runTask, say } from "./_run.ts";

await runTask(async (args) => {
  const line = readCommandLine("kill-season", args);
  const text = line.values.kills ?? "200", kills = Number(text);
  if (!/^\d+$/.test(text) || kills < 1) {
    throw new CommandLineFault(`Cannot use --kills: it must be a whole number of 1 or above, got "${text}"`);
  }
  const seed = seedOf(line);
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
  if (line.switches.has("dry")) console.log(JSON.stringify(proof, null, 1));
  else {
    const folder = `${root}/datasets/proofs`;
    await Deno.mkdir(folder, { recursive: true });
    await Deno.writeTextFile(`${folder}/kills.json`, `${JSON.stringify(proof, null, 1)}\n`);
    await Deno.writeTextFile(`${folder}/kills.md`, killPage(proof));
    say("Written: datasets/proofs/kills.json, datasets/proofs/kills.md");
  }
  say(`${summary.good} of ${kills} kills left all in order.`);
  return bad === 0 ? 0 : 3;
});
