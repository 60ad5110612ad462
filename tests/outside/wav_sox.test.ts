// WAV files of our own beside soxi and sox (Debian's sox).
import { describe, expect, test } from "vitest";
import { soundOfPasses, wavFacts, writeWav } from "../../lib/tones/mod.ts";
import { machineA, passes } from "../tones/_log_rows.ts";
import { mustHavePrograms, programPath } from "./_programs.ts";

const soxi = programPath(["soxi"]), sox = programPath(["sox"]);
const sound = (rateHz: number) =>
  soundOfPasses({ right: passes(100, 500, "x"), left: passes(330) }, machineA, { rateHz });

async function printed(
  program: string | null,
  args: string[],
  from: "stdout" | "stderr" = "stdout",
): Promise<string> {
  if (program === null) throw new Error("soxi and sox are not installed: Debian's sox");
  const output = await new Deno.Command(program, { args }).output();
  expect(output.success).toBe(true);
  return new TextDecoder().decode(output[from]);
}

// Without sox these are listed as not run; with CI=true they run and fail.
describe.runIf((soxi !== null && sox !== null) || mustHavePrograms())("writeWav() beside sox", () => {
  test.each([[8000, 8], [8000, 16], [11025, 8], [22050, 16]] as const)(
    "soxi finds the header of %i Hz and %i bits as it is meant, and no fault",
    async (rateHz, bits) => {
      const bytes = writeWav(sound(rateHz), { bits });
      const path = await Deno.makeTempFile({ suffix: ".wav" });
      try {
        await Deno.writeFile(path, bytes);
        const facts = wavFacts(bytes);
        const told = async (flag: string) => (await printed(soxi, [flag, path])).trim();
        expect(await told("-t")).toBe("wav");
        expect(await told("-r")).toBe(String(rateHz));
        expect(await told("-c")).toBe("2");
        expect(await told("-b")).toBe(String(bits));
        expect(await told("-s")).toBe(String(facts.frames));
        expect(await told("-e")).toBe(bits === 8 ? "Unsigned Integer PCM" : "Signed Integer PCM");
        // Reading every sample to the end: sox warns on its error stream of a header that promises more than there is.
        const statistics = await printed(sox, [path, "-n", "stat"], "stderr");
        expect(statistics).not.toMatch(/WARN|FAIL/);
        const largest = /Maximum amplitude:\s+([\d.]+)/.exec(statistics),
          least = /Minimum amplitude:\s+(-?[\d.]+)/.exec(statistics);
        const peak = Math.max(Number(largest![1]), -Number(least![1]));
        // Printed with six decimals.
        expect(Math.abs(peak - facts.peak)).toBeLessThan(2e-6);
        expect(peak).toBeLessThanOrEqual(0.5);
      } finally {
        await Deno.remove(path);
      }
    },
  );
});
