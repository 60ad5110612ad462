import { holesLeftOpen, type Outing, plainCsv, type Signal, type Table } from "../log/mod.ts";
import { costOfRule, goodFindsOf } from "../decide/mod.ts";
import { isPresent } from "../numbers/mod.ts";

/** One cell that the export says otherwise than the season's log did. */
export interface ChangedCell {
  readonly signal: string;
  readonly field: string;
  readonly before: string;
  readonly after: string;
}

/** A season's log with a day's export joined to it. */
export interface JoinedLog {
  readonly text: string;
  readonly added: readonly string[];
  /** In both, word for word. */
  readonly same: readonly string[];
  readonly changed: readonly ChangedCell[];
  /** Other ids, but the same site, date and readings: perhaps one signal written down twice. */
  readonly alike: readonly (readonly [string, string])[];
}

const plainName = (heading: string): string => heading.trim().toLowerCase();

const column = (table: Table, name: string): number =>
  table.headings.findIndex((heading) => plainName(heading) === name);

/**
 * Joins an export of the phone to a season's log: new signals go to its end under the ids that they have, signals in both are taken once.
 *
 * Where both fill a cell and differ, the export's stands and the change is told; an empty cell never wipes one out. Columns that
 * only the export has go to the right. A broken row of the season's log is carried along as it stands. Both tables are left as they were. Throws
 * RangeError for a table without signal_id, and for an export with a cut row or one id twice.
 *
 * @example
 * ```ts
 * import { readTable } from "overiron";
 * import { joinExport } from "./phone_take_home.ts";
 * const table = (name: string, text: string) => readTable({ name, bytes: new TextEncoder().encode(text) });
 * const season = await table("season.csv", "signal_id,dug\n1,\n"), day = await table("day.csv", "signal_id,dug\n1,yes\n2,no\n");
 * const { added, changed, text } = joinExport(season, day);
 * if (added[0] !== "2" || changed[0]!.after !== "yes" || text !== "signal_id,dug\n1,yes\n2,no\n") throw new Error(text);
 * ```
 */
export function joinExport(season: Table, exported: Table): JoinedLog {
  // One field may be headed "Site" there and "site" here: the season's own heading stands.
  const own = new Map(season.headings.map((heading) => [plainName(heading), heading]));
  const asInSeason = (heading: string): string => own.get(plainName(heading)) ?? heading;
  const rowsOf = (table: Table): Map<string, Map<string, string>> => {
    const id = column(table, "signal_id");
    if (id < 0) throw new RangeError(`Cannot join ${table.file}: it must have a column signal_id, got none`);
    const rows = new Map<string, Map<string, string>>();
    for (let row = 0; row < table.rowCount; row++) {
      const key = table.cell(row, id).trim();
      const cells = new Map(table.headings.map((name, j) => [asInSeason(name), table.cell(row, j)]));
      if ([...cells.values()].every((cell) => cell.trim() === "")) continue;
      const fault = table.fault(row);
      if (fault !== null || table.width(row) !== table.headings.length) {
        const { line } = table.place(row, 0);
        throw new RangeError(
          `Cannot join ${table.file}, line ${line}: a row must be whole, got one that is cut or broken`,
        );
      }
      if (key === "" || rows.has(key)) {
        throw new RangeError(
          `Cannot join ${table.file}: each signal_id must be there once, got "${key}" ${
            key === "" ? "" : "twice"
          }`,
        );
      }
      rows.set(key, cells);
    }
    return rows;
  };
  const fresh = rowsOf(exported);
  const seasonId = column(season, "signal_id");
  if (seasonId < 0) {
    throw new RangeError(`Cannot join ${season.file}: it must have a column signal_id, got none`);
  }
  // Rows as they stand; the first of an id is the one that an export may add to.
  const rows: (Map<string, string> | readonly string[])[] = [];
  const old = new Map<string, Map<string, string>>();
  for (let row = 0; row < season.rowCount; row++) {
    const written = Array.from({ length: season.width(row) }, (_, j) => season.cell(row, j));
    const id = season.cell(row, seasonId).trim();
    const whole = written.length === season.headings.length && season.fault(row) === null;
    const cells = new Map(season.headings.map((name, j) => [name, written[j] ?? ""]));
    rows.push(whole ? cells : written);
    if (whole && id !== "" && !old.has(id)) old.set(id, cells);
  }
  const headings = [
    ...season.headings,
    ...exported.headings.filter((name) => !own.has(plainName(name))),
  ];
  const alikeKey = (cells: Map<string, string>): string =>
    JSON.stringify(
      ["site", "date", "readings_right", "readings_left"].map((name) =>
        (cells.get(asInSeason(name)) ?? "").trim()
      ),
    );
  const known = new Map([...old].map(([id, cells]) => [alikeKey(cells), id]));
  const added: string[] = [],
    same: string[] = [],
    changed: ChangedCell[] = [],
    alike: [string, string][] = [];
  for (const [signal, cells] of fresh) {
    const here = old.get(signal);
    if (here === undefined) {
      const twin = known.get(alikeKey(cells));
      if (twin !== undefined && (cells.get(asInSeason("readings_right")) ?? "") !== "") {
        alike.push([twin, signal]);
      }
      rows.push(new Map(cells));
      added.push(signal);
      continue;
    }
    let differs = false;
    for (const [field, after] of cells) {
      const before = here.get(field) ?? "";
      if (after.trim() === "" || after.trim() === before.trim()) continue;
      changed.push({ signal, field, before, after });
      here.set(field, after);
      differs = true;
    }
    if (!differs) same.push(signal);
  }
  const cellsOf = (row: Map<string, string> | readonly string[]): readonly string[] =>
    row instanceof Map ? headings.map((name) => row.get(name) ?? "") : row;
  const text = plainCsv([headings, ...rows.map(cellsOf)]);
  return { text, added, same, changed, alike };
}

/** Options of {@link dayInFiveLines}. */
export interface DayInFiveLinesOptions {
  /** The season's outings, which know how many holes were filled. Default: none, and the line says that it is not written down. */
  readonly outings?: readonly Outing[];
}

/**
 * Says in five lines what a day taught: holes, holes for one good find, own call against the rule, what is unfinished, what to look at next.
 *
 * `season` is everything joined, `day` the ids of the day's signals. Holes for one good find carry their interval by site, or the reason
 * why there is none.
 *
 * @example
 * ```ts
 * import { dayInFiveLines } from "./phone_take_home.ts";
 * const lines = dayInFiveLines([], new Set());
 * if (lines.length !== 5 || !lines[0]!.startsWith("Today: 0 signals")) throw new Error("wrong");
 * ```
 */
export function dayInFiveLines(
  season: readonly Signal[],
  day: ReadonlySet<string>,
  options: DayInFiveLinesOptions = {},
): readonly string[] {
  const today = season.filter(({ signal_id }) => day.has(signal_id));
  const dug = today.filter((signal) => signal.dug === "yes");
  const perFind = (signals: readonly Signal[]): string => {
    const judged = signals.filter((signal) => signal.dug === "yes");
    const sites = [...new Set(judged.map(({ site }) => site))];
    const { holes, goodFinds, holesPerGoodFind } = costOfRule("all", {
      digs: judged.map(() => 1),
      goodFinds: goodFindsOf(judged),
      site: judged.map(({ site }) => sites.indexOf(site)),
    });
    if (goodFinds === 0) return `no good find in ${holes} holes`;
    const ratio = `${
      (holes / goodFinds).toFixed(1)
    } holes for one good find (${goodFinds} in ${holes} holes)`;
    return isPresent(holesPerGoodFind)
      ? `${ratio}, interval ${holesPerGoodFind.interval.low.toFixed(1)} to ${
        holesPerGoodFind.interval.high.toFixed(1)
      }`
      : `${ratio}, no interval: ${holesPerGoodFind.reason}`;
  };
  const known = dug.filter(({ outcome }) => outcome.status === "known");
  const good = ({ outcome }: Signal): boolean => outcome.class !== "ferrous";
  const both = known.filter((signal) => signal.my_call === "good" || signal.my_call === "iron").filter((
    signal,
  ) => signal.rule_said === "dig" || signal.rule_said === "leave");
  const callRight = both.filter((signal) => (signal.my_call === "good") === good(signal)).length;
  const ruleRight = both.filter((signal) => (signal.rule_said === "dig") === good(signal)).length;
  // The rule's version tells at which worth of a good find it spoke.
  const worths = [
    ...new Set(
      both.flatMap(({ rule_version: version }) => /-w(\d+(?:\.\d+)?)$/.exec(version ?? "")?.[1] ?? []),
    ),
  ].sort((a, b) => Number(a) - Number(b));
  const atWorth = worths.length === 0 ? "" : ` (a good find worth ${worths.join(" or ")} holes)`;
  const apart = both.filter((signal) => (signal.my_call === "good") !== (signal.rule_said === "dig")).length;
  const keeps = dug.flatMap(({ finds }) => finds).filter(({ keep }) => keep === "yes");
  const unread = keeps.filter(({ readings_alone }) => readings_alone === null).length;
  const unknown = dug.filter(({ outcome }) => outcome.status === "unknown").length;
  const left = today.filter((signal) =>
    signal.dug === "no" && (signal.my_call === "good" || signal.rule_said === "dig")
  );
  const masked = dug.filter(({ outcome }) => outcome.class === "masked-good").length;
  const next = left.length > 0
    ? `signals left in the ground though you or the rule said good: ${
      left.slice(0, 5).map(({ signal_id }) => signal_id).join(", ")
    }${left.length > 5 ? ` and ${left.length - 5} more` : ""}`
    : unread > 0
    ? "read each good find again by itself, beside the cleared hole: only that shows whether iron masked it"
    : apart > 0
    ? "the signals on which you and the rule differed: dig a few of what both would leave as well"
    : "dig some of what you would leave: only dug signals have an outcome";
  return [
    `Today: ${today.length} signals, ${dug.length} holes, ${masked} masked good; ${perFind(today)}.`,
    `Season so far: ${perFind(season)}.`,
    both.length === 0
      ? "Own call against rule: no dug signal today has both, and a known outcome."
      : `Own call against rule, on ${both.length} dug signals with a known outcome: you were right ${callRight} times, the rule ${ruleRight}${atWorth}; you differed on ${apart}.`,
    `Unfinished: ${
      holesInWords(options.outings ?? [], season, today)
    }, ${unknown} holes of unknown outcome, ${unread} of ${keeps.length} good finds not read alone.`,
    `Look at next: ${next}.`,
  ];
}

function holesInWords(
  outings: readonly Outing[],
  season: readonly Signal[],
  today: readonly Signal[],
): string {
  const walked = new Set(today.map(({ outing_id }) => outing_id));
  const holes = holesLeftOpen(outings.filter(({ outing_id }) => walked.has(outing_id)), season);
  const told = holes.filter(({ filled }) => filled !== null);
  const sum = (of: (each: typeof holes[number]) => number): number =>
    told.reduce((total, each) => total + of(each), 0);
  if (told.length === 0) return "holes filled were not written down";
  const untold = walked.size - told.length;
  return `${sum(({ open }) => open)} of ${sum(({ dug }) => dug)} holes not filled` +
    (untold === 0 ? "" : ` (${untold} of ${walked.size} outings do not say)`);
}
