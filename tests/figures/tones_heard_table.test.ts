import { expect, test } from "vitest";
import { tonesHeardTable } from "../../lib/figures/tones_heard_table.ts";
import { bandHeardByRead } from "../../lib/tones/band_heard_by_read.ts";
import { season } from "./_tone_logs.ts";

test("tonesHeardTable() leaves out machines on which no tone was written down", () => {
  expect(tonesHeardTable(bandHeardByRead(season)).text).toContain(
    "Machine A: tone heard (rows) by band of the readings",
  );
  const silent = { ...season, signals: season.signals.map((one) => ({ ...one, tone_heard: null })) };
  expect(tonesHeardTable(bandHeardByRead(silent)).text).toBe(
    "No tone was written down that is the name of a band.",
  );
});
