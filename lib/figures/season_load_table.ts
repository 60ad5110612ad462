import type { PublishedReport } from "../log/mod.ts";
import { counted } from "../numbers/mod.ts";
import { folded, show, type Shown, stated, table } from "./show.ts";

const kinds = [
  ["rows", "rows in"],
  ["accepted", "accepted"],
  ["rejected", "rejected"],
  ["blank", "blank"],
  ["planned", "planned"],
  ["heldBack", "kept private"],
] as const;

/**
 * Shows what was loaded: for each log the rows that came in and what became of them, then,
 * folded, the rules that rejected rows broke.
 *
 * Rows in = accepted + rejected + blank + planned; rows kept private were accepted and are not published. No file name,
 * value or place of a row is shown.
 *
 * @example
 * ```ts
 * import { seasonLoadTable } from "overiron";
 * const shown = seasonLoadTable({ inputs: [{ role: "dig-log", rows: 3, accepted: 2, rejected: 1, blank: 0, planned: 0, heldBack: 0 }],
 *   rejectedByRule: [{ role: "dig-log", field: "depth_cm", rule: "must be a number", count: 1 }] });
 * if (shown.recorded.results.length !== 7) throw new Error(String(shown.recorded.results.length));
 * ```
 */
export function seasonLoadTable(report: Pick<PublishedReport, "inputs" | "rejectedByRule">): Shown {
  const rows = report.inputs.map((input) => [
    input.role.replaceAll("-", " "),
    ...kinds.map(([kind, words]) =>
      stated("log.rows", { log: input.role, rows: words }, counted(input[kind], { rows: input.rows }), {
        form: "value",
      })
    ),
  ]);
  const loaded = table({
    caption: "What was loaded. Rows in are accepted, rejected, blank or planned; none is lost",
    columns: ["log", ...kinds.map(([, words]) => words)],
    rows,
  });
  if (report.rejectedByRule.length === 0) return loaded;
  return show(
    loaded,
    folded(
      "Rules that rejected rows broke",
      table({
        caption:
          "Rules that rejected rows broke; a row may break several. The rows themselves stay with their owner",
        columns: ["log", "column", "rule", "times"],
        rows: report.rejectedByRule.map(({ role, field: column, rule, count }) => [
          role.replaceAll("-", " "),
          column ?? "whole row",
          rule,
          stated(
            "log.rulesBroken",
            { log: role, column: column ?? "whole row", rule },
            counted(count, { times: count }),
            {
              form: "value",
            },
          ),
        ]),
      }),
    ),
  );
}
