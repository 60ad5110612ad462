import { faultLine } from "./apply_schema.ts";
import type { Account, LoadReport, RejectedRow, Remark } from "./report.ts";

/**
 * Counts the cells of one role's accepted rows that were read otherwise than written, as the assumptions say.
 *
 * @example
 * ```ts
 * import { correctedIn } from "overiron";
 * const first = { file: "log.csv", line: 2, value: "~300" };
 * const assumptions = [{ role: "dig-log", column: "readings_right", text: "A rough number", count: 3, first }];
 * if (correctedIn({ assumptions }, "dig-log") !== 3) throw new Error("wrong");
 * ```
 */
export const correctedIn = (report: Pick<LoadReport, "assumptions">, role: string): number =>
  report.assumptions.filter((each) => each.role === role && each.column !== null)
    .reduce((sum, { count }) => sum + count, 0);

const plural = (count: number, word: string): string => `${count} ${word}${count === 1 ? "" : "s"}`;
/** A line without characters that a terminal obeys: a heading or a file name may hold them. */
const visible = (line: string): string =>
  // deno-lint-ignore no-control-regex
  line.replace(/[\u0000-\u001f\u007f-\u009f]/g, (mark) =>
    `\\u${mark.charCodeAt(0).toString(16).padStart(4, "0")}`);
const short = (text: string): string => text.length > 60 ? `${text.slice(0, 57)}...` : text;

/** What became of the rows of one file, in a sentence. */
function accountLine(account: Account, corrected: number): string {
  const { role, file, rows, accepted, rejected, blank, planned } = account;
  return `${file} (${role}): ${
    plural(rows, "row")
  } in: ${accepted} accepted, ${rejected} rejected, ${blank} blank, ${planned} planned; ${
    plural(corrected, "cell")
  } corrected as told below`;
}

function remarkLines({ count, text, column, first }: Remark): string[] {
  const place = `${first.file}, line ${first.line}${column === null ? "" : `, ${column}`}`;
  const value = first.value === "" ? "" : `: ${JSON.stringify(short(first.value))}`;
  return [`  ${count} x  ${text}`, `        first: ${place}${value}`];
}

/**
 * Gives the rules that rejected rows break, a line each, in the order of the file, with line, column and value.
 *
 * @example
 * ```ts
 * import { rejectedLines } from "overiron";
 * if (rejectedLines([]).length !== 0) throw new Error("wrong");
 * ```
 */
export const rejectedLines = (rejected: readonly RejectedRow[]): readonly string[] =>
  rejected.flatMap((row) => row.faults.map((fault) => visible(`  ${faultLine(fault)}`)));

/**
 * Writes a load report as plain text for the person whose log it is: what became of the rows, all that was taken for
 * granted and all that is odd, each with its first example, columns not used, outcomes, and every rejected row with its
 * line, rule and value. It holds values of the log: it is private.
 *
 * @example
 * ```ts
 * import { loadGardenLog, parseMachines, reportText } from "overiron";
 * const machines = parseMachines(JSON.stringify({
 *   schema: "overiron-machines/1",
 *   machines: [{
 *     machine: "Machine A",
 *     scale: { low: 0, high: 600, step: 1 },
 *     iron_break: 150,
 *     tones: { name: "one", kind: "bands", breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] },
 *   }],
 * }));
 * const text = "trial_id,target,neighbour,gap_cm,readings_right,readings_left\n1,disc,nail,4,380-390,350\n";
 * const file = { name: "garden.csv", bytes: new TextEncoder().encode(text) };
 * const { report } = await loadGardenLog(file, machines);
 * if (!reportText(report).includes("1 row in: 1 accepted, 0 rejected, 0 blank, 0 planned")) throw new Error("wrong");
 * ```
 */
export function reportText(report: LoadReport): string {
  const { accounts, assumptions, flags, ignored, outcomes, repeatNoise, rejected } = report;
  const lines: string[] = accounts.map((account) => accountLine(account, correctedIn(report, account.role)));
  const section = (title: string, body: readonly string[]): void => {
    if (body.length > 0) lines.push("", title, ...body);
  };
  section("Taken for granted:", assumptions.flatMap(remarkLines));
  section("Legal but odd (nothing was changed):", flags.flatMap(remarkLines));
  section(
    "Columns not used:",
    ignored.map(({ file, heading, nearest }) =>
      `  ${file}: ${JSON.stringify(heading)}${nearest === null ? "" : `; nearest field is ${nearest}`}`
    ),
  );
  section(
    "Outcomes:",
    outcomes.map(({ status, class: of, grade, count }) =>
      `  ${String(count).padStart(6)}  ${status === "known" ? `${of}, ${grade}` : status}`
    ),
  );
  section(
    "Repeat noise:",
    repeatNoise.map(({ machine, limit, basis }) =>
      `  ${machine}: readings that differ by more than ${Number(limit.toPrecision(4))} differ (${basis})`
    ),
  );
  section(`Rejected rows (${rejected.length}), every rule that they break:`, rejectedLines(rejected));
  return `${lines.map(visible).join("\n")}\n`;
}
