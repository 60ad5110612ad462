import { checkNotebooks, findingText } from "../writeup/check_notebooks.ts";
import { readCommandLine } from "./_command_line.ts";
import { root, runProgram, runTask, say } from "./_run.ts";

interface VitestReport {
  readonly numPassedTests: number;
  readonly numFailedTests: number;
  readonly testResults: readonly {
    readonly status: string;
    readonly name: string;
    readonly assertionResults: readonly { readonly status: string; readonly fullName: string }[];
  }[];
}

await runTask(async (args) => {
  const line = readCommandLine("test", args);
  const deno = Deno.execPath();
  let passed = 0, failed = 0;
  const count = (name: string, good: boolean) => {
    if (good) passed++;
    else failed++;
    say(`${good ? "ok    " : "FAILED"} ${name}`);
  };
  if (!line.switches.has("quick") && line.files.length === 0) {
    const folders = ["lib", "tests", "datasets"].filter((name) => exists(`${root}/${name}`));
    count(
      "types of the library, its examples and the tests",
      await runProgram(deno, ["check", "--quiet", "--doc", ...folders]) === 0,
    );
    const findings = await checkNotebooks(`${root}/notebooks`, { root });
    for (const each of findings) say(`  ${findingText(each)}`);
    count("types and order of the notebooks' cells", findings.length === 0);
    // Not the commands: this very file is called test.ts, and would be run as one.
    const rooms = [...Deno.readDirSync(`${root}/lib`)].filter(({ name, isDirectory }) =>
      isDirectory && name !== "commands"
    )
      .map(({ name }) => `lib/${name}`).sort();
    count(
      "the examples of the doc comments, run",
      await runProgram(deno, ["test", "-A", "--quiet", "--doc", "--no-check", "--parallel", ...rooms]) === 0,
    );
  }
  const file = `${root}/.overiron/vitest.json`;
  Deno.mkdirSync(`${root}/.overiron`, { recursive: true });
  const status = await runProgram(deno, [
    "run",
    "-A",
    `${root}/node_modules/vitest/vitest.mjs`,
    "run",
    "--reporter=default",
    "--reporter=json",
    `--outputFile.json=${file}`,
    ...(line.switches.has("quick")
      ? ["--exclude", "tests/outside/**", "--exclude", "tests/commands/**"]
      : []),
    ...line.files,
  ], { OVERIRON_ROOT: root });
  if (status === 130) return 130;
  let report: VitestReport;
  try {
    report = JSON.parse(Deno.readTextFileSync(file));
    Deno.removeSync(file);
  } catch {
    say("The tests gave no report: they stopped before their end.");
    return 2;
  }
  const brokenFiles = report.testResults.filter((one) =>
    one.status === "failed" && one.assertionResults.length === 0
  );
  passed += report.numPassedTests;
  failed += report.numFailedTests + brokenFiles.length;
  const notRun = report.testResults.flatMap((one) => one.assertionResults)
    .filter((one) => one.status === "skipped" || one.status === "pending").map((one) => one.fullName);
  for (const name of [...new Set(notRun)].sort()) say(`not run: ${name}`);
  if (passed === 0) failed = Math.max(failed, 1);
  console.log(`${passed} passed, ${failed} failed`);
  return failed > 0 || status !== 0 ? 1 : 0;
});

function exists(path: string): boolean {
  try {
    Deno.statSync(path);
    return true;
  } catch {
    return false;
  }
}
