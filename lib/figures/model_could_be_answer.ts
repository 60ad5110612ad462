import { counted } from "../numbers/mod.ts";
import type { CouldBeEither, TableStudy } from "../model/mod.ts";
import { listed, ofTable, tableLabel } from "./_model_labels.ts";
import { plainWord } from "./plain_word.ts";
import { formatNumber } from "./_text.ts";
import { say, show, type Shown, stated, tally } from "./show.ts";

/**
 * Answers in a few sentences how many signals get one outcome and how many could be either, how often the sets held what came out,
 * at how many sites they fell short, and which outcome nothing could rule out; with a table of set sizes by outcome. Recorded.
 *
 * @example
 * ```ts
 * import { couldBeEither, modelCouldBeAnswer } from "overiron";
 * const group = Int32Array.from({ length: 40 }, (_, i) => i % 2);
 * const outcome = Uint8Array.from({ length: 40 }, (_, i) => i < 20 ? 0 : 1);
 * const p = Float64Array.from({ length: 120 }, (_, at) => [at < 60 ? 0.8 : 0.1, at < 60 ? 0.1 : 0.8, 0.1][at % 3]!);
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * const { text } = modelCouldBeAnswer({ machine, discrimination: "none" as const }, couldBeEither(p, outcome, { group }), { engine: "forest", groups: "sites" });
 * if (!text.includes("masked good")) throw new Error(text);
 * ```
 */
export function modelCouldBeAnswer(
  table: Pick<TableStudy["table"], "machine" | "discrimination">,
  found: CouldBeEither,
  options: { readonly engine: string; readonly groups: "sites" | "outings" },
): Shown {
  const { level, classes, sizes, always } = found, names = classes.map(plainWord);
  const { engine, groups } = options;
  const percent = `${formatNumber(100 * level, 1).replace(/\.0$/, "")} %`;
  const of = { ...ofTable(table), engine, level: percent };
  const short = { form: "interval" } as const;
  const known = found.coveredBySite.filter(({ covered }) => "value" in covered);
  const below = known.filter(({ covered }) => "value" in covered && covered.value < level).length;
  const words = classes.length === 3 ? ["none", "one", "two", "all three"] : ["none", "one", "both"];
  const byClass = found.coveredByClass.map((share, k) =>
    stated("model.setCoverage", { ...of, outcome: classes[k]! }, share, short)
  );
  const shares = found.coveredByClass.length === 3
    ? say`By outcome: ${names[0]!} ${byClass[0]!}, ${names[1]!} ${byClass[1]!}, ${names[2]!} ${byClass[
      2
    ]!}.`
    : say`By outcome: ${names[0]!} ${byClass[0]!}, ${names[1]!} ${byClass[1]!}.`;
  return show(
    say`On ${tableLabel(table)}, at a level of ${percent}, ${
      stated("model.setSingle", of, found.single)
    } of the signals are given one outcome; the others could be ${
      sizes.some((row) => row[0]! > 0) ? "either, or fit nothing seen so far" : "either"
    }. What came out was in the set for ${stated("model.setCoverage", of, found.covered)} of them; at ${
      stated("model.setSitesBelow", of, counted(below, { sites: known.length }), { form: "value" })
    } of ${String(known.length)} sites the share was below the level.${
      always.length === 0 ? "" : ` Nothing rules out ${
        listed(
          always.map(({ name, cases }) => `${plainWord(name)} (as few as ${cases} at other ${groups})`),
        )
      }: it stands in every set for which its cases were too few.`
    }`,
    shares,
    tally({
      id: "model.setSizes",
      of,
      unit: "signals",
      caption: `How many outcomes a signal could be, ${engine}, ${tableLabel(table)}, level ${percent}`,
      rowTitle: "What came out",
      rows: names,
      columns: words,
      counts: sizes,
    }),
  );
}
