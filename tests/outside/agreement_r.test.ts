// Agreement of bands beside R (Debian's r-base-core) and its package vcd (Debian's r-cran-vcd).
import { describe, expect, test } from "vitest";
import { kappaOf } from "../../lib/tones/_agreement.ts";
import { symmetryTest } from "../../lib/tones/symmetry_test.ts";
import { mustHavePrograms, programPath } from "./_programs.ts";
import stored from "./_agreement_r.json" with { type: "json" };

const rScript = programPath(["Rscript"]);

// R prints 15 digits; both sum a few dozen products, so the last two digits may differ.
const close = (a: number, b: number): void =>
  expect(Math.abs(a - b)).toBeLessThanOrEqual(1e-13 * Math.max(1, Math.abs(b)));

describe("agreement of bands beside what R printed", () => {
  test.each(stored.tables)("$counts", ({ counts, kappa, linear, chiSquared, degreesOfFreedom, p }) => {
    const k = Math.sqrt(counts.length);
    close(kappaOf(counts, k, "equal")!, kappa);
    close(kappaOf(counts, k, "linear")!, linear);
    const own = symmetryTest(Array.from({ length: k }, (_, i) => counts.slice(i * k, i * k + k)));
    if ("absent" in own) throw new Error(own.reason);
    close(own.chiSquared, chiSquared);
    expect(own.degreesOfFreedom).toBe(degreesOfFreedom);
    close(own.p, p);
  });
});

// Without R this is listed as not run; with CI=true it runs and fails.
test.runIf(rScript !== null || mustHavePrograms())("R prints what is stored, run again", async () => {
  if (rScript === null) throw new Error("Rscript is not installed: Debian's r-base-core and r-cran-vcd");
  const script = new URL("_agreement.R", import.meta.url).pathname;
  const { stdout, stderr, success } = await new Deno.Command(rScript, { args: ["--vanilla", script] })
    .output();
  expect(new TextDecoder().decode(stderr)).toBe("");
  expect(success).toBe(true);
  const again = JSON.parse(new TextDecoder().decode(stdout)) as typeof stored;
  again.tables.forEach((table, i) => {
    const before = stored.tables[i]!;
    expect(table.counts).toEqual(before.counts);
    for (const name of ["kappa", "linear", "chiSquared", "degreesOfFreedom", "p"] as const) {
      close(table[name], before[name]);
    }
  });
  expect(again.tables).toHaveLength(stored.tables.length);
});
