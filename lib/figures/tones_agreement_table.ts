import { counted } from "../numbers/mod.ts";
import type { CleanByTogether } from "../tones/mod.ts";
import { agreementCells } from "./_agreement_cells.ts";
import { type Shown, stated, table } from "./show.ts";

/**
 * Shows how far a target's band beside a neighbour agrees with its band clean, and what the tables rest on: trials left
 * out, and trials whose clean reading comes from a weaker source than a control of the same block.
 *
 * @example
 * ```ts
 * import { tonesAgreementTable } from "overiron";
 * if (!tonesAgreementTable([]).text.startsWith("Agreement")) throw new Error("wrong");
 * ```
 */
export function tonesAgreementTable(tables: readonly CleanByTogether[]): Shown {
  return table({
    caption:
      "Agreement of the band clean and beside a neighbour, all gaps together; intervals by block. The p value is that of " +
      "Bowker's test that moves go up as often as down, which takes the trials as independent",
    columns: [
      "machine",
      "in the same band",
      "the same, bands counting alike (balanced accuracy)",
      "kappa",
      "weighted kappa",
      "of those that moved, moved down",
      "p of even moves",
      "weaker clean reading",
      "left out",
    ],
    rows: tables.map(({ of, agreement, cleanFrom, leftOut, trials }) => {
      const weaker = cleanFrom.filter(({ from }) => from !== "same block").reduce(
        (sum, line) => sum + line.trials,
        0,
      );
      const out = Object.values(leftOut).reduce((sum, count) => sum + count, 0);
      const count = (reason: string, value: number) =>
        stated("tones.leftOut", { ...of, reason }, counted(value, { trials: trials.n + out }), {
          form: "value",
        });
      return [
        ...agreementCells(of, "clean and together", agreement),
        count("weaker clean reading, not left out", weaker),
        count("no reading to compare", out),
      ];
    }),
  });
}
