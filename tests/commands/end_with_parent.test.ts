import { expect, test } from "vitest";
import { STARTED_BY } from "../../lib/commands/_end_with_parent.ts";
import { ownFolder } from "../../lib/commands/_own_folder.ts";
import { exists, root } from "./_season.ts";

const script = (handsOn?: string): string =>
  `import { endWithParent, familyNow } from ${
    JSON.stringify(`file://${root}/lib/commands/_end_with_parent.ts`)
  };
const family = ${handsOn === undefined ? "undefined" : `familyNow(${JSON.stringify(handsOn)})`};
if (family === null) { console.log("orphan"); Deno.exit(130); }
endWithParent(() => { console.log("ended"); Deno.exit(130); }, family);
console.log("begun " + Deno.env.has("${STARTED_BY}"));
await new Promise((go) => setTimeout(go, 20_000));`;
/** The script in a file of its own: no command line above it then holds its words. */
const fileOf = async (handsOn: string): Promise<string> => {
  const file = await Deno.makeTempFile({ suffix: ".ts" });
  await Deno.writeTextFile(file, script(handsOn));
  return file;
};
const read = async (stream: ReadableStream<Uint8Array>): Promise<string> => await new Response(stream).text();

test("a program whose starter has gone before it began ends, and hands the number on to nobody", async () => {
  const { code, stdout } = await new Deno.Command(Deno.execPath(), {
    args: ["eval", "--no-lock", script()],
    // No process has this number: it is above the most that Linux gives.
    env: { [STARTED_BY]: "99999999", NO_COLOR: "1" },
  }).output();
  expect(new TextDecoder().decode(stdout)).toBe("begun false\nended\n");
  expect(code).toBe(130);
});

test.runIf(Deno.build.os !== "windows")(
  "a program ends when what started its starter is killed",
  async () => {
    // Two shells above it; the commands after it keep them from stepping aside for it.
    const inner = `: handing-on; "$0" run -A --no-lock "$1"; true`;
    const child = new Deno.Command("/bin/sh", {
      args: ["-c", `/bin/sh -c '${inner}' "$0" "$1"; true`, Deno.execPath(), await fileOf("handing-on")],
      env: { NO_COLOR: "1" },
      stdout: "piped",
    }).spawn();
    const [first, second] = child.stdout.tee();
    const reader = first.getReader();
    expect(new TextDecoder().decode((await reader.read()).value)).toBe("begun false\n");
    await new Promise((go) => setTimeout(go, 1500));
    child.kill("SIGKILL");
    await child.status;
    // The pipe ends once the last process that holds it has gone.
    expect(await read(second)).toBe("begun false\nended\n");
    while (!(await reader.read()).done);
  },
);

test.runIf(Deno.build.os !== "windows")(
  "what only hands on is watched from above; a shell above anything else may go",
  async () => {
    const unwatched = await fileOf("no such words");
    const child = new Deno.Command("/bin/sh", {
      args: [
        "-c",
        `/bin/sh -c '"$0" run -A --no-lock "$1"; true' "$0" "$1"; true`,
        Deno.execPath(),
        unwatched,
      ],
      env: { NO_COLOR: "1" },
      stdout: "piped",
    }).spawn();
    const reader = child.stdout.getReader();
    expect(new TextDecoder().decode((await reader.read()).value)).toBe("begun false\n");
    child.kill("SIGKILL");
    await child.status;
    await new Promise((go) => setTimeout(go, 2000));
    const { stdout } = await new Deno.Command("ps", { args: ["-eo", "pid=,args="] }).output();
    const still = new TextDecoder().decode(stdout).split("\n").filter((line) =>
      line.includes(unwatched) && !line.includes("/bin/sh")
    );
    for (const line of still) Deno.kill(Number(line.trim().split(/\s/)[0]), "SIGKILL");
    expect(still).toHaveLength(1);
    while (!(await reader.read()).done);
  },
);

test.runIf(Deno.build.os === "linux")(
  "a program whose starter has gone before it looked does not begin",
  async () => {
    // The shell in between ends at once, so that the program is handed to another before it looks.
    const { stdout } = await new Deno.Command("/bin/sh", {
      args: [
        "-c",
        `(sleep 0.5; exec "$0" run -A --no-lock "$1") & exit`,
        Deno.execPath(),
        await fileOf("handing-on"),
      ],
      env: { NO_COLOR: "1" },
    }).output();
    const adopter = Number((await new Deno.Command("/bin/sh", {
      args: ["-c", `(sleep 0.2; exec cut -d" " -f4 /proc/self/stat) & exit`],
    }).output().then(({ stdout }) => new TextDecoder().decode(stdout))).trim());
    // Where number 1 is not who takes orphans, they cannot be told from others, and the program begins.
    expect(new TextDecoder().decode(stdout).startsWith(adopter === 1 ? "orphan" : "begun")).toBe(true);
  },
);

test("a folder whose holder was killed is swept up by the next; one in use and others' are left alone", async () => {
  const place = await Deno.makeTempDir();
  const usual = Deno.env.get("TMPDIR");
  Deno.env.set("TMPDIR", place);
  try {
    // As a killed holder leaves it: the file, and no lock on it.
    await Deno.mkdir(`${place}/overiron-dead/inside`, { recursive: true });
    await Deno.writeTextFile(`${place}/overiron-dead/.in-use`, "");
    await Deno.mkdir(`${place}/overiron-other`);
    await Deno.mkdir(`${place}/letters`);
    await Deno.writeTextFile(`${place}/letters/.in-use`, "");
    const names = (): string[] => [...Deno.readDirSync(place)].map(({ name }) => name).sort();
    using first = ownFolder();
    {
      using second = ownFolder();
      expect(names()).toEqual(
        ["letters", ...[first, second].map(({ path }) => path.split("/").at(-1)!), "overiron-other"].sort(),
      );
    }
    expect(exists(first.path)).toBe(true);
    expect(names()).toHaveLength(3);
  } finally {
    if (usual === undefined) Deno.env.delete("TMPDIR");
    else Deno.env.set("TMPDIR", usual);
    await Deno.remove(place, { recursive: true });
  }
});
