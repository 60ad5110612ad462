import { EMPTY_MARKS } from "./_column_facts.ts";
import { type ColumnMapping, isReadings, mappedField, type ReadingsConventions } from "./mapping.ts";
import { put } from "./_draft_notes.ts";
import type { Draft } from "./_proposal.ts";
import { foldWord } from "./mapping_words.ts";

const N = "[+-]?\\d+(?:\\.\\d+)?";
const JOINED = new RegExp(`^${N}(?:-| - |- )${N}(?:(?:-| - |- )${N})?$`);
const SPACED_X = new RegExp(`^${N} x \\d{1,2}$`, "i");
const TWO = new RegExp(`^${N}(?: ?[;/|] ?|, | )${N}$`);
const plain = (cell: string): string =>
  cell.replace(/[\u2010-\u2015\u2212]/g, "-").replace(/[\s\u00a0\u2007\u202f]+/g, " ").replace(
    /\u00d7/g,
    "x",
  );

/** Asks what a log means by the signs in its readings cells, once for all of its readings columns. */
export function proposeReadings(draft: Draft, all: ColumnMapping): void {
  const { given, facts, questions } = draft;
  const said = given.readings;
  const columns = all.columns.filter((column) =>
    column.field != null &&
    (isReadings(column.field) || mappedField(draft.table, column.field)?.kind === "readings")
  );
  if (columns.length === 0) return;
  const cells = columns.flatMap((column) =>
    facts.find((each) => each.heading === column.heading)?.values.map(plain) ?? []
  ).filter((cell) => !all.empty.map(foldWord).includes(foldWord(cell)));
  const some = (test: (cell: string) => boolean): string[] => [...new Set(cells.filter(test))].slice(0, 3);
  const ask = (
    key: keyof ReadingsConventions,
    text: string,
    samples: readonly string[],
    options: readonly (readonly [string, ReadingsConventions])[],
  ): void => {
    if (said[key] !== undefined || samples.length === 0) return;
    questions.push({
      id: `readings.${key}`,
      heading: null,
      text,
      samples,
      options: options.map(([label, readings]) => ({ label, patch: { readings } })),
    });
  };

  const both = columns.filter((column) => column.field === "readings");
  ask(
    "direction",
    `Which way did the coil go for the readings in ${
      both.map((each) => JSON.stringify(each.heading)).slice(0, 8).join(", ")
    }?`,
    both.length === 0 ? [] : some(() => true),
    [
      ["there and back in turn, the first left to right", { direction: "in-turn" }],
      ["there and back in turn, the first right to left", { direction: "in-turn-from-left" }],
      ["that was not noted (nothing can be said of sweep asymmetry then)", { direction: "not-known" }],
    ],
  );

  const glued = some((cell) => /\d,\d/.test(cell));
  const listed = some((cell) => /\d,\d+,\d/.test(cell));
  const parted = some((cell) => /\d,\d+[ ;/|]+\d+,\d/.test(cell));
  if (said.comma === undefined && glued.length > 0 && (listed.length > 0) !== (parted.length > 0)) {
    const comma = listed.length > 0 ? "passes" as const : "decimal" as const;
    put(draft, { readings: { comma } });
    draft.reasons.push({
      heading: null,
      field: "readings.comma",
      text: comma === "passes"
        ? "three numbers and more are joined by commas: a comma ends a pass"
        : "numbers with a comma are parted by something else: it is a decimal comma",
      samples: comma === "passes" ? listed : parted,
    });
  } else {
    ask("comma", "What does a comma between two numbers mean in the readings?", glued, [
      ["the end of a pass: 38,5 is 38, then 5", { comma: "passes" }],
      ["a decimal comma: 38,5 is 38 and a half", { comma: "decimal" }],
    ]);
  }
  ask(
    "hyphen",
    "What does a hyphen between numbers mean in the readings?",
    some((cell) => JOINED.test(cell)),
    [
      ["lowest and highest (of three: lowest, usual, highest)", { hyphen: "range" }],
      ["passes one after the other", { hyphen: "passes" }],
    ],
  );
  ask(
    "lone_hyphen",
    "What does a hyphen that stands alone mean in the readings?",
    some((cell) => /(?:^|[ ,;/|])-{1,3}(?:$|[ ,;/|])/.test(cell) && !JOINED.test(cell)),
    [
      ["a pass that gave no number", { lone_hyphen: "silent" }],
      ["nothing was written down: an empty cell", { lone_hyphen: "empty" }],
    ],
  );
  ask("spaced_x", 'What does "38 x 3" mean in the readings?', some((cell) => SPACED_X.test(cell)), [
    ["three passes of 38", { spaced_x: "count" }],
    ["38, a pass that gave no number, then 3", { spaced_x: "silent" }],
  ]);
  const tokens = (cell: string): number => cell.split(/[ ,;/|]+/).filter((each) => each !== "").length;
  const longer = cells.some((cell) => tokens(cell) > 2 && !SPACED_X.test(cell) && !/\d ?-/.test(cell));
  const single = cells.filter((cell) => tokens(cell) === 1).length;
  ask(
    "two_numbers",
    "Every longer cell of the readings holds two numbers. What are they?",
    longer || single > cells.length / 2 ? [] : some((cell) => TWO.test(cell) && !JOINED.test(cell)),
    [
      ["two passes", { two_numbers: "passes" }],
      ["a display with two numbers, of which the first is the reading", { two_numbers: "first" }],
      ["a display with two numbers, of which the second is the reading", { two_numbers: "second" }],
    ],
  );

  const passes = columns.filter((column) => column.pass !== undefined);
  if (passes.length > 1) {
    const short = passes.filter((column) => {
      const own = facts.find((each) => each.heading === column.heading);
      return own !== undefined &&
        own.filled <
          Math.max(...passes.map((each) => facts.find((one) => one.heading === each.heading)?.filled ?? 0));
    }).map((column) => column.heading).slice(0, 3);
    ask("empty_pass", "What does an empty cell mean among the columns that hold one pass each?", short, [
      ["that pass was not made", { empty_pass: "not-made" }],
      ["that pass gave no number", { empty_pass: "silent" }],
    ]);
  }

  const settled = new Set([...said.silent_words ?? [], ...said.other_words ?? []].map(foldWord));
  const words = new Set<string>();
  for (const cell of cells) {
    const rest = cell.replace(new RegExp(`${N}(?:ish)?`, "g"), " ").replace(/[,;/|~?*]+/g, " ").trim();
    for (const word of /\d/.test(cell) ? rest.split(/ +/) : [rest]) {
      if (/\p{L}{2,}|\u2205|\u00f8/u.test(word) && !/^(?:to|about|circa|ca\.?|ish)$/i.test(word)) {
        words.add(foldWord(word));
      }
    }
  }
  for (const word of [...words].slice(0, 20)) {
    if (settled.has(word) || EMPTY_MARKS.has(word)) continue;
    const silent = [...said.silent_words ?? [], word], other = [...said.other_words ?? [], word];
    const whole = cells.some((cell) => foldWord(cell) === word);
    questions.push({
      id: `readings.${whole ? "cell" : "word"} ${word}`,
      heading: null,
      text: `What does ${JSON.stringify(word)} mean in the readings?`,
      samples: some((cell) => foldWord(cell).includes(word)),
      options: [
        { label: "a pass that gave no number", patch: { readings: { silent_words: silent } } },
        ...(whole ? [{ label: "nothing was written down: an empty cell", patch: { empty: [word] } }] : []),
        { label: "something else: those rows are set aside", patch: { readings: { other_words: other } } },
      ],
    });
    break;
  }
}
