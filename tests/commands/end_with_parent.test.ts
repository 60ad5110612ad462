import { expect, test } from "vitest";
import { STARTED_BY } from "../../lib/commands/_end_with_parent.ts";
import { ownFolder } from "../../lib/commands/_own_folder.ts";
import { exists, root } from "./_season.ts";

const script = (above: boolean): string =>
  `import { endWithParent } from ${JSON.stringify(`file://${root}/lib/commands/_end_with_parent.ts`)};
endWithParent(() => { console.log("ended"); Deno.exit(130); }, { above: ${above} });
console.log("begun " + Deno.env.has("${STARTED_BY}"));
await new Promise((go) => setTimeout(go, 20_000));`;
const read = async (stream: ReadableStream<Uint8Array>): Promise<string> => await new Response(stream).text();

test("a program whose starter has gone before it began ends, and hands the number on to nobody", async () => {
  const { code, stdout } = await new Deno.Command(Deno.execPath(), {
    args: ["eval", "--no-lock", script(false)],
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
    const inner = `"$0" eval --no-lock "$1"; true`;
    const child = new Deno.Command("/bin/sh", {
      args: ["-c", `/bin/sh -c '${inner}' "$0" "$1"; true`, Deno.execPath(), script(true)],
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
