import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { FileFault, readLogFile } from "../../lib/log/mod.ts";
import { faultOf } from "./_helpers.ts";

let room = "";
beforeAll(async () => {
  room = await Deno.makeTempDir();
});
afterAll(() => Deno.remove(room, { recursive: true }));

test("readLogFile() reads bytes and keeps the bare name", async () => {
  const read = await readLogFile(new URL("./_helpers.ts", import.meta.url));
  expect(read.name).toBe("_helpers.ts");
  expect(read.bytes.length).toBeGreaterThan(100);
});

test("readLogFile() says that there is no such file, or that it is a folder", async () => {
  const fault = await faultOf(() => readLogFile("nowhere/log.csv"));
  expect(fault).toBeInstanceOf(FileFault);
  expect(fault.message).toBe(
    "Cannot read nowhere/log.csv: it must be a file that can be read, got no such file",
  );
  expect((await faultOf(() => readLogFile(new URL(".", import.meta.url)))).message).toMatch(/got a folder$/);
});

describe("readLogFile() refuses, with the option that allows it", () => {
  test("a sparse file of 2 GB, without reading it", async () => {
    const path = `${room}/sparse.csv`;
    Deno.writeTextFileSync(path, "a,b\n");
    Deno.truncateSync(path, 2 ** 31);
    const begun = performance.now();
    const fault = await faultOf(() => readLogFile(path));
    expect(performance.now() - begun).toBeLessThan(1000);
    expect(fault).toBeInstanceOf(FileFault);
    expect(fault.message).toBe(
      "Cannot read sparse.csv: it must be 536870912 bytes or smaller, got 2147483648; raise maxFileBytes (--max-file-bytes) if it is meant",
    );
    Deno.truncateSync(path, 1000);
    expect((await readLogFile(path, { maxFileBytes: 1000 })).bytes.length).toBe(1000);
    expect((await faultOf(() => readLogFile(path, { maxFileBytes: 999 }))).message).toContain("got 1000");
  });

  test.skipIf(Deno.build.os === "windows")(
    "a symbolic link, to a file, to a device and to nothing",
    async () => {
      Deno.writeTextFileSync(`${room}/log.csv`, "a\n1\n");
      Deno.symlinkSync(`${room}/log.csv`, `${room}/link.csv`);
      Deno.symlinkSync("/dev/zero", `${room}/zero.csv`);
      Deno.symlinkSync(`${room}/gone.csv`, `${room}/lost.csv`);
      for (const name of ["link.csv", "zero.csv", "lost.csv"]) {
        expect((await faultOf(() => readLogFile(`${room}/${name}`))).message).toBe(
          `Cannot read ${room}/${name}: it must be the file itself, got a symbolic link; name the file that it leads to, or give --follow-links`,
        );
      }
      expect((await readLogFile(`${room}/link.csv`, { followLinks: true })).bytes.length).toBe(4);
      expect((await faultOf(() => readLogFile(`${room}/zero.csv`, { followLinks: true }))).message).toMatch(
        /got a device, pipe or socket$/,
      );
      expect((await faultOf(() => readLogFile(`${room}/lost.csv`, { followLinks: true }))).message).toMatch(
        /got no such file$/,
      );
    },
  );

  test.skipIf(Deno.build.os === "windows")("a file of 2 GiB, whatever limit is given", async () => {
    Deno.writeTextFileSync(`${room}/huge.csv`, "");
    Deno.truncateSync(`${room}/huge.csv`, 2 ** 31);
    expect((await faultOf(() => readLogFile(`${room}/huge.csv`, { maxFileBytes: 2 ** 33 }))).message).toBe(
      `Cannot read ${room}/huge.csv: it must be smaller than 2147483648 bytes, the most that is read in one piece, got more; split it`,
    );
  });
});
