import { expect, test } from "vitest";
import { correctedIn, loadDigLog, rejectedLines, reportText } from "../../lib/log/mod.ts";
import { file, oneMachine } from "./_helpers.ts";

const HEAD = "signal_id,site,readings_right,readings_left,depth_cm,metal,colour\n";

test("reportText() of a sound log has accounts and outcomes, and no empty section", async () => {
  const { report } = await loadDigLog(file(`${HEAD}1,A,300,305,,,\n2,A,300,305,,,\n`), oneMachine);
  const text = reportText({ ...report, assumptions: [], ignored: [], repeatNoise: [] });
  expect(text).toBe(
    "log.csv (dig-log): 2 rows in: 2 accepted, 0 rejected, 0 blank, 0 planned; 0 cells corrected as told below\n\nOutcomes:\n       2  not-dug\n",
  );
});

test("reportText() keeps control characters and long values off the terminal", async () => {
  const rows = `1,A,300,305,"\u001b[31m${
    "9".repeat(100)
  }",ferrous,\n2,A,~300,300-310,5,ferrous,\n3,A,300,305,5,ferrous,\n`;
  const { report } = await loadDigLog(file(HEAD + rows), oneMachine);
  const [line] = rejectedLines(report.rejected);
  expect(line).toBe(
    `  log.csv, line 2, depth_cm: must be a number with a decimal point and no unit, got "\\u001b[31m${
      "9".repeat(52)
    }..."`,
  );
  expect(reportText(report)).not.toContain("\u001b");
  const odd = await loadDigLog(file(`${HEAD.trim()},"a\u001b[2J"\n1,A,300,305,,,,\n`), oneMachine);
  expect(reportText(odd.report)).toContain('log.csv: "a\\u001b[2J"');
  expect(correctedIn(report, "dig-log")).toBe(2);
  expect(correctedIn(report, "finds")).toBe(0);
});
