import { strToU8, zipSync } from "fflate";
import { describe, expect, test } from "vitest";
import { expandLogFile, FileFault, loadDigLog, loadGardenLog, machinesInArchive } from "../../lib/log/mod.ts";
import { crc32, zipMembers } from "../../lib/log/_zip_members.ts";
import { readZip, zippedFiles } from "../../lib/log/read_zip.ts";
import { faultOf, file, MACHINES_JSON, oneMachine } from "./_helpers.ts";

const CSV = "signal_id,site,readings_right,readings_left\n1,Hay wharf,300,310\n";
const zip = (files: Readonly<Record<string, string>>): Uint8Array =>
  zipSync(Object.fromEntries(Object.entries(files).map(([path, text]) => [path, strToU8(text)])), {
    mtime: "1990-01-01T00:00:00",
  });
const message = async (bytes: Uint8Array, options = {}): Promise<string> => {
  const fault = await faultOf(() => readZip(bytes, { file: "log.zip", ...options }));
  expect(fault).toBeInstanceOf(FileFault);
  return fault.message.replace("Cannot read log.zip: ", "");
};
/** Bytes with a piece written over, as a hostile program might. */
const patched = (bytes: Uint8Array, from: string, to: string): Uint8Array => {
  const text = Array.from(bytes, (byte) => String.fromCharCode(byte)).join("").replaceAll(from, to);
  return Uint8Array.from(text, (letter) => letter.charCodeAt(0));
};

test("crc32() gives the check value of its definition", () => {
  // "123456789" gives CBF43926 in the catalogue of parametrised CRC algorithms (CRC-32/ISO-HDLC).
  expect(crc32(strToU8("123456789")).toString(16)).toBe("cbf43926");
});

test("readZip() reads the one log of an archive, past what systems put beside it", async () => {
  const table = await readZip(
    zip({
      "season/log.csv": CSV,
      "__MACOSX/season/._log.csv": "x",
      "season/.DS_Store": "x",
      "season/photo.jpg": "x",
      "season/": "",
    }),
    { file: "log.zip" },
  );
  expect(table.cell(0, 1)).toBe("Hay wharf");
  expect(table.place(0, 0).file).toBe("log.zip/season/log.csv");
});

describe("an archive with the tables of a log", () => {
  const files = {
    "signals.csv": "signal_id,outing_id,readings_right,readings_left\nS1,O1,300,310\n",
    "outings.json": '[{"outing_id": "O1", "site": "Hay wharf"}]',
    "finds.ndjson": '{"hole_id": "S1", "metal": "ferrous"}\n',
    "trials.csv": "trial_id,target,neighbour,gap_cm,readings_right,readings_left\n1,disc,nail,4,380,350\n",
    "machines.json": JSON.stringify(MACHINES_JSON),
  };

  test("is a dig log and a garden log in mixed formats", async () => {
    const log = { name: "log.zip", bytes: zip(files) };
    const { season } = await loadDigLog(log, oneMachine);
    expect(season.signals.map(({ site, outcome }) => [site, outcome.class])).toEqual([[
      "Hay wharf",
      "ferrous",
    ]]);
    const { garden } = await loadGardenLog(log, oneMachine);
    expect(garden.trials.map(({ target }) => target)).toEqual(["disc"]);
    expect((await machinesInArchive(log))?.name).toBe("log.zip/machines.json");
    expect(await machinesInArchive(file(CSV))).toBeNull();
  });

  test("is asked for by one where it is read as one table", async () => {
    expect(await message(zip(files))).toBe(
      "an archive read as one table must hold one log, got signals.csv, outings.json, finds.ndjson, trials.csv",
    );
  });
});

describe("readZip() refuses", () => {
  test.each([
    ["../log.csv", '"../log.csv"'],
    ["/etc/log.csv", '"/etc/log.csv"'],
    ["a/../../log.csv", '"a/../../log.csv"'],
    ["C:log.csv", '"C:log.csv"'],
    ["a\\log.csv", '"a\\\\log.csv"'],
    ["a\nlog.csv", '"a\\nlog.csv"'],
  ])("the path %j", async (path, shown) => {
    expect(await message(zip({ [path]: CSV }))).toBe(
      `the paths in an archive must stay in its folder, got ${shown}`,
    );
  });

  test("a bomb of zeros, by a limit that an option raises", async () => {
    const bomb = zipSync({ "log.csv": new Uint8Array(50_000_000) });
    expect(bomb.length).toBeLessThan(100_000);
    expect(await message(bomb, { maxUnpackedBytes: 1_000_000 })).toBe(
      "it must unpack to 1000000 bytes or fewer, got more; raise maxUnpackedBytes (--max-unpacked-bytes) if it is meant",
    );
    expect(await message(bomb, { maxUnpackedBytes: 50_000_000 })).toContain(
      "it must be text, got a NUL byte",
    );
  });

  test("a bomb that lies about its size", async () => {
    const bomb = zipSync({ "log.csv": new Uint8Array(5_000_000) });
    // The size unpacked stands little-endian in the local header and in the directory: 5000000 is 404B4C00.
    const liar = patched(bomb, "\x40\x4b\x4c\x00", "\x0a\x00\x00\x00");
    expect(await message(liar, { maxUnpackedBytes: 1000 })).toMatch(
      /^an archive must be whole, got more in "log\.csv"|^it must unpack to 1000 bytes or fewer/,
    );
  });

  test("many bombs that are each within the limit", async () => {
    const many = zipSync(
      Object.fromEntries(Array.from({ length: 20 }, (_, i) => [`${i}.csv`, new Uint8Array(100_000)])),
    );
    expect(await message(many, { maxUnpackedBytes: 1_000_000 })).toContain(
      "it must unpack to 1000000 bytes or fewer",
    );
  });

  test("an archive in an archive, one without a log, too many files, and one name twice", async () => {
    expect(await message(zip({ "a.csv": CSV, "inner.zip": "x" }))).toBe(
      'an archive must hold logs, got the archive "inner.zip" inside it; unpack it first',
    );
    expect(await message(zip({ "a.jpg": "x" }))).toBe(
      "an archive must hold a log, got none by its file names",
    );
    const many = Object.fromEntries(Array.from({ length: 1001 }, (_, i) => [`${i}.txt`, "x"]));
    expect(await message(zip(many))).toBe(
      "an archive must have 1000 files or fewer, got 1001; raise maxArchiveFiles (--max-archive-files) if it is meant",
    );
    const raised = zip({ ...many, "a.csv": CSV });
    expect(await message(raised, { maxArchiveFiles: 1001 })).toContain(
      "must have 1001 files or fewer, got 1002",
    );
    expect((await zippedFiles(raised, { file: "log.zip", maxArchiveFiles: 1002 })).map(({ name }) => name))
      .toContain("log.zip/a.csv");
    expect(await message(patched(zip({ "a.csv": CSV, "b.csv": CSV }), "b.csv", "a.csv"))).toBe(
      'no two files of an archive may share a name, got "a.csv"',
    );
  });

  test("a cut archive, changed data, and encryption", async () => {
    const whole = zip({ "log.csv": CSV });
    expect(await message(whole.slice(0, -5))).toBe("an archive must be whole, got no directory at its end");
    const stored = zipSync({ "log.csv": strToU8(CSV) }, { level: 0 });
    expect(await message(patched(stored, "Hay", "Hey"))).toBe(
      'an archive must be whole, got a wrong checksum of "log.csv"',
    );
    const locked = whole.slice();
    const view = new DataView(locked.buffer);
    const directory = view.getUint32(locked.length - 6, true);
    view.setUint16(directory + 8, view.getUint16(directory + 8, true) | 1, true);
    expect(await message(locked)).toBe('an archive must not be encrypted, got the encrypted file "log.csv"');
  });
});

test("zipMembers() reads what was stored and what was deflated, in the order of the directory", async () => {
  const bytes = zipSync({
    b: [strToU8("stored"), { level: 0 }],
    a: strToU8("x".repeat(1000)),
    empty: strToU8(""),
  });
  const members = await zipMembers(bytes, { file: "x.zip", maxUnpackedBytes: 2000, maxMembers: 10 });
  expect(members.map(({ path, bytes }) => [path, bytes.length])).toEqual([["b", 6], ["a", 1000], [
    "empty",
    0,
  ]]);
});

test("expandLogFile() gives any other file as it is", async () => {
  const log = file(CSV);
  expect(await expandLogFile(log)).toEqual([log]);
});
