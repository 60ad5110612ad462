import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { OutputFault, stageFolder } from "../../lib/writeup/swap_folder.ts";
import { root } from "./_notebooks.ts";

let base = "", out = "";
beforeEach(async () => {
  base = await Deno.realPath(await Deno.makeTempDir());
  out = `${base}/write-up`;
});
afterEach(() => Deno.remove(base, { recursive: true }));

const fill = async (folder: string, text: string): Promise<void> => {
  await Deno.mkdir(folder, { recursive: true });
  await Deno.writeTextFile(`${folder}/provenance.json`, text);
  await Deno.writeTextFile(`${folder}/index.html`, text);
};
const publish = async (text: string): Promise<void> => {
  const staged = await stageFolder(out);
  await fill(staged.folder, text);
  await staged.commit();
};
const held = (folder = out): string | null => {
  try {
    return Deno.readTextFileSync(`${folder}/index.html`);
  } catch {
    return null;
  }
};
const names = (): string[] => [...Deno.readDirSync(base)].map(({ name }) => name).sort();
const fault = async (work: Promise<unknown>): Promise<OutputFault> => {
  const error = await work.then(() => null, (reason) => reason);
  if (!(error instanceof OutputFault)) throw new Error(`no OutputFault, got ${error}`);
  return error;
};

describe("stageFolder()", () => {
  test("puts the new folder in the place of the old and leaves nothing else behind", async () => {
    await publish("one");
    await publish("two");
    expect(held()).toBe("two");
    expect(names()).toEqual(["write-up"]);
  });

  test("leaves the old one whole when a run fails or is given up", async () => {
    await publish("one");
    const failing = await stageFolder(out);
    await fill(failing.folder, "broken");
    expect(await failing.fail()).toBe(`${out}.failed`);
    expect([held(), held(`${out}.failed`)]).toEqual(["one", "broken"]);
    const given = await stageFolder(out);
    await given.discard();
    expect(names()).toEqual(["write-up", "write-up.failed"]);
    await publish("two");
    expect(names()).toEqual(["write-up"]);
  });

  // Every state in which a killed run can leave the folders, in the order in which a run passes through them.
  test.each([
    ["while filling", ["", ".staged"], "old"],
    ["whole, before the old one was moved", ["", ".ready"], "new"],
    ["after the old one was moved", [".before", ".ready"], "new"],
    ["after the new one was moved", [".before", ""], "new"],
    ["the old one moved and no new one there", [".before"], "old"],
    ["the first run of all, whole", [".ready"], "new"],
  ])("completes or undoes a swap that was cut %s", async (_, ends, expected) => {
    for (const end of ends) {
      const old = end === ".before" || (end === "" && !ends.includes(".before"));
      await fill(`${out}${end}`, old ? "old" : "new");
    }
    const staged = await stageFolder(out);
    expect(held()).toBe(expected);
    await staged.discard();
    expect(names()).toEqual(["write-up"]);
  });

  test("keeps two runs from one folder, and a lock of a dead run stops nobody", async () => {
    const first = await stageFolder(out);
    const child = await new Deno.Command(Deno.execPath(), {
      args: [
        "eval",
        `const f = await Deno.open(${
          JSON.stringify(`${out}.lock`)
        }, { write: true }); console.log(await f.tryLock(true));`,
      ],
    }).output();
    expect(new TextDecoder().decode(child.stdout).trim()).toBe("false");
    const second = await fault(stageFolder(out));
    expect(second.kind).toBe("input");
    expect(second.message).toBe(
      `Cannot write to ${out}: another run is at work on it, wait until it has ended`,
    );
    await first.discard();
    await Deno.writeTextFile(`${out}.lock`, "");
    await (await stageFolder(out)).discard();
  });

  test("removes nothing that is not its own", async () => {
    await Deno.mkdir(out);
    await Deno.writeTextFile(`${out}/letter.txt`, "dear");
    const refused = await fault(stageFolder(out));
    expect(refused.kind).toBe("input");
    expect(refused.message).toContain("holds something that is no write-up, choose another folder");
    expect(Deno.readTextFileSync(`${out}/letter.txt`)).toBe("dear");
    expect(names()).toEqual(["write-up"]);
  });

  test("tells a folder that cannot be written as a fault of the input", async () => {
    await Deno.writeTextFile(`${base}/file`, "x");
    for (const place of [`${base}/file/inside`, "/proc/no-such-place", "/", `${base}/${"x".repeat(300)}`]) {
      const refused = await fault(stageFolder(place));
      expect([place, refused.kind]).toEqual([place, "input"]);
      expect(refused.message).toMatch(/^Cannot write to /);
    }
  });

  test("leaves a whole write-up after a kill at any moment, 40 times", async () => {
    for (let kill = 0; kill < 40; kill++) {
      const child = new Deno.Command(Deno.execPath(), {
        args: ["run", "-A", `${root}/tests/writeup/_publish_for_ever.ts`, out],
        stdout: "piped",
        stderr: "null",
      }).spawn();
      const reader = child.stdout.getReader();
      await reader.read();
      // Moments spread evenly over some twenty swaps of about a millisecond each.
      await new Promise((done) => setTimeout(done, kill * 0.6));
      child.kill("SIGKILL");
      await child.status;
      while (!(await reader.read()).done);
      await (await stageFolder(out)).discard();
      const texts = [...Deno.readDirSync(out)].map(({ name }) => Deno.readTextFileSync(`${out}/${name}`));
      expect(texts).toHaveLength(13);
      expect(new Set(texts).size).toBe(1);
      expect(names()).toEqual(["write-up"]);
    }
  });

  test("finishes once", async () => {
    const staged = await stageFolder(out);
    await staged.discard();
    expect((await fault(staged.commit())).kind).toBe("ours");
  });
});
