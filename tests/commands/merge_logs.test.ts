import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { MACHINES_JSON } from "../log/_helpers.ts";
import { type Ended, exists, root } from "./_season.ts";

let room = "";
const HEAD = "signal_id,site,readings_right,readings_left\n";
const [first, second] = MACHINES_JSON.machines;

async function mergeLogs(...args: string[]): Promise<Ended> {
  const { code, stdout, stderr } = await new Deno.Command(Deno.execPath(), {
    args: ["run", "-A", "--no-lock", `${root}/lib/commands/merge_logs.ts`, ...args],
    cwd: room,
    env: { NO_COLOR: "1", INIT_CWD: room },
    stdin: "null",
  }).output();
  const decode = (bytes: Uint8Array) => new TextDecoder().decode(bytes);
  return { code, stdout: decode(stdout), stderr: decode(stderr) };
}

beforeAll(async () => {
  room = await Deno.makeTempDir();
  for (const [folder, machine] of [["ann", first], ["bo", second]] as const) {
    await Deno.mkdir(`${room}/${folder}`);
    const machines = { ...MACHINES_JSON, machines: [machine], settings: [] };
    await Deno.writeTextFile(`${room}/${folder}/machines.json`, JSON.stringify(machines));
    await Deno.writeTextFile(
      `${room}/${folder}/log.csv`,
      `${HEAD}S1,Hay wharf,100 105,110\nS2,Hay wharf,x,\n`,
    );
  }
});
afterAll(() => Deno.remove(room, { recursive: true }));

describe("merge-logs", () => {
  test("merges two people's logs, machines and all, and tells what it found", async () => {
    const { code, stdout, stderr } = await mergeLogs(
      "ann=ann/log.csv",
      "bo=bo/log.csv",
      "--observers",
      "ann=Ann, bo=Bo",
      "--out",
      "both.csv",
      "--machines-out",
      "machines.json",
    );
    expect(stderr).toBe("Wrote both.csv: 4 signals of 2 logs.\n");
    expect(code).toBe(0);
    expect(stdout).toBe(`ann: 2 rows in: 2 written, 0 identical, 0 left out, 0 blank
  1 outing made for rows that name none: those of one site, day, machine and observer of this log
  2 signals by Ann
bo: 2 rows in: 2 written, 0 identical, 0 left out, 0 blank
  1 outing made for rows that name none: those of one site, day, machine and observer of this log
  2 signals by Bo

One id, day and site, but other cells (both kept: which is right?): 2
  ann:S1 (log.csv, line 2) and bo:S1 (log.csv, line 2)
  ann:S2 (log.csv, line 3) and bo:S2 (log.csv, line 3)
`);
    expect(await Deno.readTextFile(`${room}/both.csv`)).toBe(
      `merged_from,signal_id,outing_id,site,machine,observer,readings_right,readings_left
ann,ann:S1,ann:outing-1,Hay wharf,Machine A,Ann,100 105,110
ann,ann:S2,ann:outing-1,Hay wharf,Machine A,Ann,x,
bo,bo:S1,bo:outing-1,Hay wharf,Machine B,Bo,100 105,110
bo,bo:S2,bo:outing-1,Hay wharf,Machine B,Bo,x,
`,
    );
    const machines = JSON.parse(await Deno.readTextFile(`${room}/machines.json`));
    expect(machines.machines.map(({ machine }: { machine: string }) => machine)).toEqual([
      "Machine A",
      "Machine B",
    ]);
  });

  test("never writes over a file, and writes nothing on a mistake", async () => {
    await Deno.writeTextFile(`${room}/mine.csv`, "mine");
    const over = await mergeLogs("a=ann/log.csv", "b=bo/log.csv", "--out", "mine.csv");
    expect([over.code, over.stderr]).toEqual([
      1,
      "Cannot write mine.csv: it is there already, and no log is ever written over\n",
    ]);
    expect(await Deno.readTextFile(`${room}/mine.csv`)).toBe("mine");
    for (
      const [args, message] of [
        [["ann/log.csv"], "Cannot merge: name two logs or more\n"],
        [["ann/log.csv", "x=bo/log.csv"], "Cannot merge: name the file to write with --out FILE\n"],
        [
          ["ann/log.csv", "bo/log.csv", "--out", "new.csv"],
          "Cannot merge: two logs have one name (log, log); write NAME=FILE to give each its own, the same at every merge\n",
        ],
        [
          ["a=ann/log.csv", "b=bo/log.csv", "--out", "new.csv", "--observers", "c=Ann"],
          'Cannot use --observers: it must be NAME=VALUE with the name of a log (a, b), got "c=Ann"\n',
        ],
        [
          ["a=ann/log.csv", "b=bo/gone.csv", "--out", "new.csv"],
          `Cannot read ${room}/bo/gone.csv: it must be a file that can be read, got no such file\n`,
        ],
      ] as const
    ) {
      const { code, stderr } = await mergeLogs(...args);
      expect([code, stderr]).toEqual([1, message]);
    }
    expect(exists(`${room}/new.csv`)).toBe(false);
  });
});
