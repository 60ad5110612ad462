import { describe, expect, test } from "vitest";
import { COMPILED } from "../../lib/model/_compiled.ts";

const folder = new URL("../../lib/model/assembly/", import.meta.url);

describe("compiled code", () => {
  test.each(Object.keys(COMPILED) as (keyof typeof COMPILED)[])(
    "%s was made from its source",
    async (name) => {
      const source = Deno.readFileSync(new URL(`${name}.ts`, folder));
      const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", source));
      expect(Array.from(digest, (byte) => byte.toString(16).padStart(2, "0")).join("")).toBe(
        COMPILED[name].source,
      );
    },
  );
  // The compiler is fetched from the npm registry for this; without CI the test above must do.
  test.skipIf(Deno.env.get("CI") === undefined)("the compiler makes the same code again", async () => {
    const args = [
      "run",
      "-A",
      "--no-config",
      "--no-lock",
      "--node-modules-dir=none",
      `${folder.pathname}compile.ts`,
    ];
    const { code, stderr } = await new Deno.Command(Deno.execPath(), { args: [...args, "--check"] }).output();
    expect(code, new TextDecoder().decode(stderr)).toBe(0);
  }, 120_000);
});
