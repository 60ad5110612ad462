import { afterAll, beforeAll, expect, test } from "vitest";
import { digLogFiles } from "../../lib/commands/_read_logs.ts";

let room = "";
beforeAll(async () => {
  room = await Deno.makeTempDir();
});
afterAll(() => Deno.remove(room, { recursive: true }));

// A folder behind a link was once read without a word, though a file behind one never was.
test.skipIf(Deno.build.os === "windows")(
  "digLogFiles() follows a link to a folder only when told to",
  async () => {
    await Deno.mkdir(`${room}/season`);
    await Deno.writeTextFile(`${room}/season/signals.csv`, "signal_id\n1\n");
    await Deno.symlink(`${room}/season`, `${room}/link`);
    await expect(digLogFiles(`${room}/link`)).rejects.toThrow(
      `Cannot read ${room}/link: it must be the file itself, got a symbolic link; name the file that it leads to, or give --follow-links`,
    );
    expect((await digLogFiles(`${room}/link`, { followLinks: true })).map(({ role }) => role)).toEqual([
      "signals",
    ]);
    expect((await digLogFiles(`${room}/season`)).map(({ name }) => name)).toEqual(["signals.csv"]);
  },
);
