import { expect, test } from "vitest";
import { FileFault, readLogFile } from "../../lib/log/mod.ts";
import { faultOf } from "./_helpers.ts";

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
