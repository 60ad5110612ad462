import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { writeOut } from "../../lib/commands/_write_out.ts";
import { OutputFault } from "../../lib/writeup/mod.ts";
import { filesOf, root } from "./_season.ts";

const demo = `${root}/datasets/demo`;
let place = "";
beforeEach(async () => {
  place = await Deno.makeTempDir();
});
afterEach(() => Deno.remove(place, { recursive: true }));

/** Runs a task under a limit on the size of files, which any user may set: the disk refuses as a full one does. */
const within = async (blocks: number, task: string, args: readonly string[]) => {
  const script = `${root}/lib/commands/${task.replaceAll("-", "_")}.ts`;
  const { code, stderr } = await new Deno.Command("/bin/sh", {
    args: [
      ...["-c", `trap '' XFSZ; ulimit -f ${blocks}; exec "$@"`, "sh", Deno.execPath()],
      ...["run", "-A", "--no-lock", script, ...args],
    ],
    cwd: root,
    env: { NO_COLOR: "1", INIT_CWD: place },
    stdin: "null",
    stdout: "null",
  }).output();
  return { code, stderr: new TextDecoder().decode(stderr) };
};

describe.runIf(Deno.build.os !== "windows")("where no file may be larger than a block", () => {
  test.each([
    ["merge-logs", [
      "a=" + demo + "/dig-log.csv",
      "b=" + root + "/datasets/smallest-log.csv",
      "--out",
      "both.csv",
    ]],
    ["plan-garden", ["--out", "."]],
    ["field-sheets", ["--out", "."]],
    ["fit-model", [
      `${demo}/dig-log.csv`,
      "--machines",
      `${demo}/machines.json`,
      "--engine",
      "tone rule",
      "--out",
      "model.json",
    ]],
    ["phone-page", ["--machines", `${demo}/machines.json`, "--out", "page.html"]],
  ])("%s tells it in plain words, and what was there before is as it was", async (task, args) => {
    // What an earlier run left, where the task writes over it.
    for (const name of ["garden-plan.html", "sheets-a4.html", "model.json", "model-card.md", "page.html"]) {
      await Deno.writeTextFile(`${place}/${name}`, `an earlier ${name}`);
    }
    const before = filesOf(place);
    const { code, stderr } = await within(1, task, args);
    expect(stderr).toMatch(
      /Cannot write to \S+: no file may be that large here; what was there before is as it was\n$/,
    );
    expect(stderr).not.toContain("fault of ours");
    expect(code).toBe(2);
    expect(filesOf(place)).toEqual(before);
  }, 60_000);

  test("virtual-garden, which writes piece by piece, tells it in plain words", async () => {
    const { code, stderr } = await within(1, "virtual-garden", ["--out", "garden"]);
    expect(stderr).toMatch(/Cannot write to \S+: no file may be that large here\n$/);
    expect(code).toBe(2);
  });
});

describe("writeOut()", () => {
  const faultOf = async (work: Promise<void>): Promise<OutputFault> => {
    const error = await work.then(() => null, (reason) => reason);
    expect(error).toBeInstanceOf(OutputFault);
    return error;
  };

  test("writes texts and bytes, over what was there", async () => {
    await Deno.writeTextFile(`${place}/a`, "longer than before");
    await writeOut({ [`${place}/a`]: "é", [`${place}/b`]: Uint8Array.of(1, 2) });
    expect(filesOf(place)).toEqual(new Map([["a", "Ã©"], ["b", "\x01\x02"]]));
  });

  test("writes none of several files where one cannot be written", async () => {
    await Deno.writeTextFile(`${place}/a`, "before");
    const fault = await faultOf(
      writeOut({ [`${place}/a`]: "after", [`${place}/b`]: "b", [`${place}/no/c`]: "c" }),
    );
    expect([fault.kind, fault.message]).toEqual([
      "input",
      expect.stringContaining(`Cannot write to ${place}/no/c: `),
    ]);
    expect(filesOf(place)).toEqual(new Map([["a", "before"]]));
  });

  test("never writes over a file that must be new, nor takes it away", async () => {
    await Deno.writeTextFile(`${place}/b`, "mine");
    const fault = await faultOf(writeOut({ [`${place}/a`]: "a", [`${place}/b`]: "b" }, { fresh: true }));
    expect([fault.kind, fault.message]).toEqual([
      "input",
      expect.stringMatching(/Cannot write to \S+\/b: File exists/),
    ]);
    expect(filesOf(place)).toEqual(new Map([["b", "mine"]]));
  });

  // The device that takes every byte and has room for none (full(4)).
  test.runIf(Deno.build.os === "linux")(
    "on a full disk: a fault that is not the person's, and nothing kept",
    async () => {
      const fault = await faultOf(writeOut({ [`${place}/a`]: "a", "/dev/full": "b" }));
      expect([fault.kind, fault.message]).toEqual([
        "ours",
        "Cannot write to /dev/full: the disk is full; what was there before is as it was. Make room and run the task again",
      ]);
      expect(filesOf(place)).toEqual(new Map());
      expect(Deno.statSync("/dev/full").isCharDevice).toBe(true);
    },
  );
});
