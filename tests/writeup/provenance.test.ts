import { describe, expect, test } from "vitest";
import { provenance, sha256 } from "../../lib/writeup/mod.ts";

const packageJson = JSON.stringify({ version: "1.2.3", dependencies: { zod: "4", b: "1" } });
const packageLock = JSON.stringify({
  packages: { "node_modules/zod": { version: "4.9.9" }, "node_modules/b": { version: "1.0.1" } },
});
const parts = { notebooks: [], seed: 3, packageJson, packageLock };

describe("provenance()", () => {
  test("records roles, hashes, counts and locked versions, and nothing of time or place", () => {
    const made = provenance({
      ...parts,
      inputs: [{ role: "dig-log", bytes: new TextEncoder().encode("abc"), counts: { rows: 2 } }],
      command: "deno task season DIG-LOG --seed 3",
    });
    // SHA-256 of "abc": FIPS 180-4, example B.1 of the older FIPS 180-2.
    const abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
    expect(made.inputs).toEqual([{ role: "dig-log", sha256: abc, bytes: 3, counts: { rows: 2 } }]);
    expect(made.versions).toEqual({
      b: "1.0.1",
      zod: "4.9.9",
      overiron: "1.2.3",
      deno: Deno.version.deno,
      v8: Deno.version.v8,
    });
    expect(JSON.stringify(made)).not.toMatch(/\d{4}-\d{2}-\d{2}|\/(home|root|work|tmp)/);
    expect(sha256("abc")).toBe(abc);
  });

  test("takes a command with a number that has a decimal point", () => {
    const command = "deno task season DIG-LOG --level 0.9 --worths 2,5,10";
    expect(provenance({ ...parts, inputs: [], command }).command).toBe(command);
  });

  test("refuses a command that names a file", () => {
    for (
      const command of [
        "deno task season my-site.csv",
        "deno task season ~/logs",
        "deno task season a/b",
        "season C:\\x",
      ]
    ) {
      expect(() => provenance({ ...parts, inputs: [], command })).toThrow(RangeError);
    }
  });
});
