import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { OutputFault } from "../../lib/writeup/mod.ts";
import { bytesUnder } from "./_layers.ts";
import { root as project } from "./_notebooks.ts";
import { plainCells, smallProject, smallWriteUp } from "./_small_write_up.ts";

const run = (command: string, ...args: string[]): boolean => {
  try {
    return new Deno.Command(command, { args, stdout: "null", stderr: "null" }).outputSync().success;
  } catch {
    return false;
  }
};
/** Whether this process may have a small disk of its own in memory: needs Linux and the right to mount. */
const canMount = ((): boolean => {
  const place = Deno.makeTempDirSync();
  const mounted = run("mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", place);
  if (mounted) run("umount", place);
  Deno.removeSync(place);
  return mounted;
})();
/** Whether it may at least mount in a namespace of its own, as any user of Linux may where that is not forbidden. */
const canUnshare = !canMount && run("unshare", "-Urm", "true");
const fault = async (work: Promise<unknown>): Promise<OutputFault> => {
  const error = await work.then(() => null, (reason) => reason);
  if (!(error instanceof OutputFault)) throw new Error(`no OutputFault, got ${error?.stack ?? error}`);
  return error;
};

let root = "";
beforeEach(async () => {
  root = await smallProject({ plain: plainCells });
});
afterEach(() => Deno.remove(root, { recursive: true }));

describe.runIf(canMount)("on a small disk", () => {
  let disk = "";
  beforeEach(async () => {
    disk = await Deno.makeTempDir();
    expect(run("mount", "-t", "tmpfs", "-o", "size=4m", "tmpfs", disk)).toBe(true);
  });
  afterEach(async () => {
    expect(run("umount", disk)).toBe(true);
    await Deno.remove(disk);
  });
  /** Fills the disk up to some bytes. */
  const fill = (left: number): void => {
    const chunk = new Uint8Array(4096);
    using file = Deno.openSync(`${disk}/filler`, { write: true, create: true });
    let bytes = 0;
    try {
      for (;;) bytes += file.writeSync(chunk);
    } catch (error) {
      expect(String(error)).toContain("os error 28");
    }
    file.truncateSync(Math.max(0, bytes - left));
  };

  // A write-up has some 60 kB here: from no room for the first folder to enough for all.
  test.each([0, 12, 40, 72, 92, 200])(
    "with %i kB left: a clear fault and the earlier write-up whole, with its key; or the new one",
    async (left) => {
      const out = `${disk}/out`;
      await smallWriteUp(root, { out });
      const before = bytesUnder(disk);
      fill(left * 1024);
      const ended = await smallWriteUp(root, { out, seed: 2, title: "Another" }).then(
        () => null,
        (error) => error,
      );
      await Deno.remove(`${disk}/filler`);
      if (left < 40) expect(ended).not.toBe(null);
      if (left === 200 || ended === null) {
        expect(ended).toBe(null);
        expect(Deno.readTextFileSync(`${out}/index.html`)).toContain("<title>Another</title>");
      } else {
        expect(ended).toBeInstanceOf(OutputFault);
        expect(ended.kind).toBe("ours");
        expect(ended.message).toMatch(
          /^Cannot (write to|finish) \S+: the disk is full; what was there before is as it was\. Make room and run the task again$/,
        );
        const after = bytesUnder(disk);
        expect([...after.keys()].sort()).toEqual([...before.keys()].sort());
        for (const [name, bytes] of before) {
          expect(`${name} ${after.get(name) === bytes}`).toBe(`${name} true`);
        }
      }
      // With room again all is well.
      await smallWriteUp(root, { out, seed: 2, title: "Another" });
      expect([...Deno.readDirSync(disk)].map(({ name }) => name).sort()).toEqual(["out", "out.rejected"]);
    },
  );

  test("a read-only disk: a fault of the input, and the earlier write-up whole", async () => {
    const out = `${disk}/out`;
    await smallWriteUp(root, { out });
    const before = bytesUnder(disk);
    expect(run("mount", "-o", "remount,bind,ro", disk)).toBe(true);
    const refused = await fault(smallWriteUp(root, { out, seed: 2 }));
    expect(refused.kind).toBe("input");
    expect(refused.message).toMatch(/^Cannot write to \S+: Read-only file system/);
    expect(bytesUnder(disk)).toEqual(before);
  });
});

test.runIf(canUnshare)("the tests on a small disk, in a namespace where this user may mount", async () => {
  const report = `${root}/report.json`;
  const { success } = await new Deno.Command("unshare", {
    args: [
      ...["-Urm", Deno.execPath(), "run", "-A", `${project}/node_modules/vitest/vitest.mjs`, "run"],
      ...["tests/writeup/disk.test.ts", "-t", "on a small disk", "--reporter=json", `--outputFile=${report}`],
    ],
    cwd: project,
    stdout: "null",
    stderr: "null",
  }).output();
  const { numPassedTests } = JSON.parse(await Deno.readTextFile(report));
  expect([success, numPassedTests]).toEqual([true, 7]);
}, 240_000);

// A limit on the size of files is set by any user, on any system with a shell: the disk refuses at the same places as a full
// one. The write-up's page and record are larger than its tables; the shell counts in blocks of 512 bytes or of 1024.
describe.runIf(Deno.build.os !== "windows")("where no file may be larger than some blocks", () => {
  test.each([0, 1, 4, 16, 40])(
    "%i blocks: a clear fault and the earlier write-up whole, with its key",
    async (blocks) => {
      const place = `${root}/place`, out = `${place}/out`;
      await Deno.mkdir(place);
      await smallWriteUp(root, { out });
      const before = bytesUnder(place);
      const within = async (shell: string): Promise<string> => {
        const { stdout, stderr } = await new Deno.Command("/bin/sh", {
          args: [
            ...["-c", `${shell} exec "$@"`, "sh", Deno.execPath(), "run", "-A", "--no-lock"],
            ...[`${project}/tests/writeup/_write_up_within.ts`, root, out],
          ],
          cwd: project,
          stdin: "null",
        }).output();
        const decode = (bytes: Uint8Array): string => new TextDecoder().decode(bytes);
        return decode(stdout).trim() || decode(stderr);
      };
      // Without the signal that ends a program, the write itself is refused.
      expect(await within(`trap '' XFSZ; ulimit -f ${blocks};`)).toMatch(
        /^ours: Cannot write to \S+: no file may be that large here; what was there before is as it was$/,
      );
      const after = bytesUnder(place);
      expect([...after.keys()].sort()).toEqual([...before.keys()].sort());
      for (const [name, bytes] of before) expect(`${name} ${after.get(name) === bytes}`).toBe(`${name} true`);
      // Without the limit the very same call succeeds.
      expect(await within("")).toBe("made");
      expect(Deno.readTextFileSync(`${out}/index.html`)).toContain("<title>Another</title>");
    },
  );
});

/** A folder of the system on a disk that is mounted to be read only, as containers have it: nothing can be written there. */
const readOnlyPlace = ((): string | null => {
  try {
    const mounts = Deno.readTextFileSync("/proc/mounts").trim().split("\n").map((line) => line.split(" "));
    const only = mounts.filter(([, , , options]) => options!.split(",").includes("ro")).map(([, place]) =>
      place
    );
    return ["/sys", "/proc/sys"].find((place) => only.includes(place)) ?? null;
  } catch {
    return null;
  }
})();

test.runIf(readOnlyPlace !== null)("a disk mounted to be read only: a fault of the input", async () => {
  const refused = await fault(smallWriteUp(root, { out: `${readOnlyPlace}/overiron-write-up` }));
  expect(refused.kind).toBe("input");
  expect(refused.message).toMatch(/^Cannot write to \S+: Read-only file system/);
});

test("a folder without the right to write: a fault of the input, and nothing touched", async () => {
  const place = `${root}/closed`;
  await Deno.mkdir(place);
  await smallWriteUp(root, { out: `${place}/out` });
  const before = bytesUnder(place);
  // A file where the staged folder would be stands in for the right that a superuser always has.
  const closed = Deno.uid() === 0 ? `${root}/package.json/out` : `${place}/out`;
  if (Deno.uid() !== 0) await Deno.chmod(place, 0o500);
  const refused = await fault(smallWriteUp(root, { out: closed, seed: 2 }));
  if (Deno.uid() !== 0) await Deno.chmod(place, 0o700);
  expect(refused.kind).toBe("input");
  expect(refused.message).toContain(`Cannot write to ${closed}`);
  expect(bytesUnder(place)).toEqual(before);
});

test("two runs at once into one folder: one is refused in plain words, the other's write-up is whole", async () => {
  const out = `${root}/out`;
  const wanted = new Map<number, Map<string, string>>();
  for (const seed of [1, 2]) {
    await smallWriteUp(root, { out, seed, cached: false });
    wanted.set(seed, bytesUnder(out));
  }
  const ends = await Promise.allSettled(
    [1, 2].map((seed) => smallWriteUp(root, { out, seed, cached: false })),
  );
  const refused = ends.filter((end) => end.status === "rejected").map(({ reason }) => reason as OutputFault);
  expect(refused).toHaveLength(1);
  expect(refused[0]!.kind).toBe("input");
  expect(refused[0]!.message).toBe(
    `Cannot write to ${out}: another run is at work on it, wait until it has ended`,
  );
  const winner = ends[0]!.status === "fulfilled" ? 1 : 2;
  expect(bytesUnder(out)).toEqual(wanted.get(winner));
  expect([...Deno.readDirSync(root)].map(({ name }) => name).filter((name) => name.startsWith("out")).sort())
    .toEqual(["out", "out.rejected"]);
});
