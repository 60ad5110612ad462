import { readCommandLine } from "./_command_line.ts";
import { root, runTask, say } from "./_run.ts";

await runTask(async (args) => {
  const line = readCommandLine("jupyter", args);
  const flags = line.switches.has("force") ? ["--force"] : [];
  const { success, stderr } = await new Deno.Command(Deno.execPath(), {
    args: [
      "jupyter",
      "--install",
      "--name",
      "deno",
      "--display",
      `Deno ${Deno.version.deno} (overiron)`,
      ...flags,
    ],
    cwd: root,
    env: { NO_COLOR: "1" },
    stdin: "null",
    stdout: "null",
    stderr: "piped",
  }).output();
  const said = new TextDecoder().decode(stderr).trim();
  if (!success) {
    const there = /already exists/i.test(said);
    say(
      there
        ? "A kernel named deno is installed already, maybe of another Deno. --force puts this project's in its place."
        : `The kernel could not be installed: ${said.split("\n").slice(0, 3).join(" ")}`,
    );
    if (!there) return 2;
  } else say("The kernel is installed.");
  say(
    "Make a write-up first (`deno task season`); its notebooks find their data beside them and run as they are:\n" +
      `JupyterLab:  cd ${root} && jupyter lab write-ups/demo/notebooks\n` +
      `VS Code:     code ${root}   (with its Jupyter extension; open a notebook there and choose the kernel "Deno")\n` +
      "Keep the notebooks inside this folder: from elsewhere the kernel does not find the library. After a change in lib/\n" +
      "restart the kernel, which keeps the modules it has loaded.",
  );
  return success ? 0 : 1;
});
