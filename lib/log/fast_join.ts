import { Remarks } from "./apply_schema.ts";
import { outcomeFinder, OUTCOMES, sharedOutcome, STATED } from "./fast_outcomes.ts";
import { CODED, type CodedName, FIND_PARTS, type PassesName, type SignalTable } from "./fast_signal_table.ts";
import { JOINED } from "./_join_notes.ts";
import type { MachinesFile } from "./machines.ts";
import type { ColumnMapping } from "./mapping.ts";
import { noiseOfMachine, RepeatPool } from "./measure_repeat_noise.ts";
import { privateSitesOf } from "./_private_sites.ts";
import type { OutcomeCount, Remark, RepeatNoise } from "./report.ts";
import type { Find, Outing, Signal } from "./rows.ts";
import { statedLimits } from "./_stated_limits.ts";

export interface JoinSignalsOptions {
  readonly machines: MachinesFile;
  readonly mapping: ReadonlyMap<string, string>;
  /** The log has a column that says what was dug. */
  readonly saysDug: boolean;
  readonly repeatNoise: readonly RepeatNoise[] | null;
  /** The mapping of a foreign log, for the limits that it states. */
  readonly columns: ColumnMapping | undefined;
}

/** What the signals of a log come to, when they are joined with their outings, finds and outcomes. */
export interface JoinedSignals {
  readonly outings: readonly Outing[];
  readonly assumptions: readonly Remark[];
  readonly flags: readonly Remark[];
  readonly repeatNoise: readonly RepeatNoise[];
  readonly outcomes: readonly OutcomeCount[];
  readonly privateSites: readonly string[];
  /** Makes every signal. */
  signals(): Signal[];
}

/** A hole that several signals name. */
interface Hole {
  readonly id: string;
  readonly rows: number[];
  finds: readonly Find[];
  dug: number;
}

/**
 * Joins the columns of a log as `loadDigLog` joins its rows, and gives what that gives. Null where a repeat limit is not
 * one: the strict path then says so. Throws FileFault where a mapping states a limit of an unknown machine.
 */
export function joinSignals(found: SignalTable, options: JoinSignalsOptions): JoinedSignals | null {
  const { machines, mapping, saysDug } = options;
  const { table, rows, count, words, codes, cells, passes, of, machinesOf, finds, findWords } = found;
  const parts = FIND_PARTS.length;
  const first = (row: number, value: string) => ({ file: table.file, line: table.place(row, 0).line, value });
  const codeAt = (name: CodedName, row: number): number => codes[name]?.[row] ?? 0;
  const valueAt = (name: CodedName, row: number) => words[name].values[codeAt(name, row)] as never;
  const passesAt = (name: PassesName, row: number) => passes.get(cells[name]?.[row] ?? 0);
  const assumed = new Remarks(), remarks = new Remarks();

  const privateSites = new Set(privateSitesOf(table, mapping, () => null, found.marked));
  const hidden = words.site.values.map((site) => privateSites.has(site as string));

  // Outings: by id and site, or by site, day, machine and observer.
  const keyOfMachine = machinesOf.map(({ machine, settings }) =>
    machinesOf.findIndex((each) => each.machine === machine && each.settings === settings)
  );
  const outingIds: string[] = [];
  const outings: Outing[] = [];
  const outingAt = new Int32Array(table.rowCount);
  const outingOfKey = new Map<string, number>();
  const sitesOfId = new Map<string, number>();
  const takenIds = new Set<string>();
  const idCodes = codes.outing_id;
  if (idCodes !== null) {
    const used = new Uint8Array(words.outing_id.values.length);
    for (let i = 0; i < count; i++) used[idCodes[rows[i]!]!] = 1;
    used.forEach((each, code) => {
      if (each === 1 && code !== 0) takenIds.add(words.outing_id.values[code] as string);
    });
  }
  const none = new Int32Array(0);
  const siteCodes = codes.site ?? none,
    dateCodes = codes.date ?? none,
    observerCodes = codes.observer ?? none;
  let last = -1, lastId = 0, lastSite = 0, lastDate = 0, lastObserver = 0, lastMachine = 0;
  let oneOuting: { count: number } | null = null;
  for (let i = 0; i < count; i++) {
    const row = rows[i]!;
    const id = idCodes === null ? 0 : idCodes[row]!, site = siteCodes[row] ?? 0;
    const date = id !== 0 ? 0 : dateCodes[row] ?? 0, observer = id !== 0 ? 0 : observerCodes[row] ?? 0;
    const machine = id !== 0 ? 0 : keyOfMachine[of[row]!]!;
    const same = last >= 0 && id === lastId && site === lastSite && date === lastDate &&
      observer === lastObserver && machine === lastMachine;
    lastId = id;
    lastSite = site;
    lastDate = date;
    lastObserver = observer;
    lastMachine = machine;
    let at = same ? outingAt[last]! : 0;
    if (!same) {
      const key = `${id} ${site} ${date} ${observer} ${machine}`;
      const known = outingOfKey.get(key);
      if (known !== undefined) at = known;
      else {
        at = outingIds.length;
        let outingId: string;
        if (id === 0) {
          let number = at + 1;
          while (takenIds.has(`outing-${number}`)) number++;
          outingId = `outing-${number}`;
          takenIds.add(outingId);
        } else {
          const written = words.outing_id.values[id] as string;
          const sites = (sitesOfId.get(written) ?? 0) + 1;
          sitesOfId.set(written, sites);
          outingId = sites === 1 ? written : `${written}#${sites}`;
          if (sites > 1) assumed.add("dig-log", "outing_id", JOINED.sharedId, first(row, written));
        }
        outingOfKey.set(key, at);
        outingIds.push(outingId);
        const one = machinesOf[of[row]!]!;
        outings.push({
          outing_id: outingId,
          date: valueAt("date", row),
          site: valueAt("site", row),
          settings: one.settings,
          machine: one.machine.machine,
          observer: valueAt("observer", row),
          ground: valueAt("ground", row),
          moisture: valueAt("moisture", row),
          balance: valueAt("balance", row),
          coil_height_cm: valueAt("coil_height_cm", row),
          check_start: passesAt("check_start", row),
          check_end: passesAt("check_end", row),
          holes_filled: valueAt("holes_filled", row),
        });
      }
    }
    outingAt[row] = at;
    last = row;
    if (id === 0) {
      if (oneOuting === null) oneOuting = assumed.add("dig-log", null, JOINED.oneOuting, first(row, ""));
      else oneOuting.count++;
    }
  }

  const makeFind = (row: number, k: number, holeId: string): Find => {
    const at = (found.findStarts[row]! + k) * parts;
    const value = (part: number) => findWords[FIND_PARTS[part]!].values[finds[at + part]!] as never;
    return {
      find_id: value(0) ?? `${holeId}-${k + 1}`,
      hole_id: holeId,
      order: k + 1,
      metal: value(2),
      keep: value(3),
      depth_cm: value(4),
      readings_alone: passes.get(finds[at + 5]!),
      what: value(1),
      reported: value(6),
    };
  };
  const findsOfRow = (row: number, holeId: string): Find[] =>
    Array.from({ length: found.findCounts[row]! }, (_, k) => makeFind(row, k, holeId));

  // Holes that several signals name, which is seldom.
  const holeOf = new Map<number, Hole>();
  const dugNo = words.dug.codeOfValue("no"), dugYes = words.dug.codeOfValue("yes");
  if (severalPerHole(found)) {
    const byId = new Map<string, Hole>();
    for (let i = 0; i < count; i++) {
      const row = rows[i]!;
      const id = valueAt("hole_id", row) ?? found.signalId(row);
      const hole = byId.get(id);
      if (hole !== undefined) hole.rows.push(row);
      else byId.set(id, { id, rows: [row], finds: [], dug: 0 });
    }
    for (const hole of byId.values()) {
      if (hole.rows.length === 1) continue;
      const all: Find[] = [];
      for (const row of hole.rows) {
        holeOf.set(row, hole);
        for (const find of findsOfRow(row, hole.id)) {
          const order = all.length + 1;
          if (order === 1) all.push(find);
          else {
            const named = find.find_id !== `${hole.id}-${find.order}`;
            all.push({ ...find, order, find_id: named ? find.find_id : `${hole.id}-${order}` });
          }
        }
      }
      hole.finds = all;
    }
    for (let i = 0; i < count; i++) {
      const row = rows[i]!, hole = holeOf.get(row);
      if (hole === undefined) continue;
      if (codes.dug[row] === dugNo && hole.finds.length > 0 && !saysDug) codes.dug[row] = dugYes;
      if (codes.dug[row] !== dugNo && ++hole.dug === 2) {
        remarks.add("dig-log", "hole_id", JOINED.sharedHole, first(row, hole.id));
      }
    }
  }

  const measured = options.repeatNoise ??
    machines.machines.map((machine) =>
      noiseOfMachine(machine, (basis) => {
        const pool = new RepeatPool();
        const add = (cell: number): void => {
          if (cell !== 0 && passes.kinds[cell] === 0) {
            pool.add(passes.readings, passes.starts[cell]!, passes.starts[cell + 1]!);
          }
        };
        const seen = new Set<Hole>();
        const mine = machinesOf.map((each) => each.machine.machine === machine.machine);
        const ironNone = words.iron_near.codeOfValue("none");
        for (let i = 0; i < count; i++) {
          const row = rows[i]!;
          if (!mine[of[row]!]) continue;
          if (basis > 0) {
            if (basis === 1 && codeAt("iron_near", row) !== ironNone) continue;
            add(cells.right?.[row] ?? 0);
            add(cells.left?.[row] ?? 0);
            continue;
          }
          const hole = holeOf.size === 0 ? undefined : holeOf.get(row);
          if (hole !== undefined) {
            if (!seen.has(hole)) { for (const find of hole.finds) pool.addPasses(find.readings_alone); }
            seen.add(hole);
            continue;
          }
          const start = found.findStarts[row]!;
          for (let k = start; k < start + found.findCounts[row]!; k++) add(finds[k * parts + 5]!);
        }
        for (const outing of basis === 0 ? outings : []) {
          if (outing.machine !== machine.machine) continue;
          pool.addPasses(outing.check_start);
          pool.addPasses(outing.check_end);
        }
        return pool;
      })
    );

  const noise = statedLimits(measured, options.columns);
  const limits = new Map(noise.map((each) => [each.machine, each.limit]));
  const limitOf = machinesOf.map(({ machine }) => limits.get(machine.machine) ?? null);
  if (limitOf.some((limit) => limit !== null && !(limit >= 0 && Number.isFinite(limit)))) return null;
  const outcomeOf = outcomeFinder(found, (row) => limitOf[of[row]!]!);
  const outcomes = new Uint8Array(table.rowCount);
  const counts = OUTCOMES.map(() => 0);
  for (let i = 0; i < count; i++) {
    const row = rows[i]!;
    const hole = holeOf.size === 0 ? undefined : holeOf.get(row);
    const derive = (without: boolean): number =>
      hole === undefined ? outcomeOf(row, without) : sharedOutcome(found, row, {
        dug: valueAt("dug", row),
        finds: hole.finds,
        limit: limitOf[of[row]!]!,
        without,
      });
    const outcome = hole === undefined ? outcomeOf(row) : derive(false);
    outcomes[row] = outcome;
    counts[outcome]!++;
    if (outcome >= STATED) {
      const facts = OUTCOMES[derive(true)]!;
      if (facts.status === "known" && facts.class !== OUTCOMES[outcome]!.class) {
        remarks.add(
          "dig-log",
          "outcome_stated",
          JOINED.disagrees,
          first(row, valueAt("outcome_stated", row)),
        );
      }
    }
  }

  const readers = {} as Record<CodedName, (row: number) => never>;
  for (const name of CODED) {
    const column = codes[name], { values } = words[name];
    readers[name] = column === null ? () => null as never : (row) => values[column[row]!] as never;
  }
  const makeSignal = (row: number, at: typeof readers): Signal => {
    const hole = holeOf.get(row);
    const signalId = found.signalId(row);
    const holeId: string = hole?.id ?? at.hole_id(row) ?? signalId;
    const own = hole?.finds ?? findsOfRow(row, holeId);
    const dug: Signal["dug"] = at.dug(row);
    const of_ = machinesOf[of[row]!]!;
    return {
      signal_id: signalId,
      site: at.site(row),
      observer: at.observer(row),
      date: at.date(row),
      settings: of_.settings,
      machine: of_.machine.machine,
      discrimination: of_.discrimination,
      ground: at.ground(row),
      moisture: at.moisture(row),
      right: passesAt("right", row),
      left: passesAt("left", row),
      cross: passesAt("cross", row),
      both_ways: at.both_ways(row),
      after_turn: at.after_turn(row),
      spot_moves: at.spot_moves(row),
      iron_near: at.iron_near(row),
      tone_heard: at.tone_heard(row),
      depth_indicated: at.depth_indicated(row),
      my_call: at.my_call(row),
      dug,
      stopped_why: at.stopped_why(row),
      result: at.result(row),
      iron_evidence: at.iron_evidence(row),
      after_dig: at.after_dig(row),
      dig_chance: at.dig_chance(row),
      finds: own,
      hole_id: dug === "no" && own.length === 0 ? at.hole_id(row) : holeId,
      coil_height_cm: at.coil_height_cm(row),
      rule_said: at.rule_said(row),
      rule_version: at.rule_version(row),
      outcome_stated: at.outcome_stated(row),
      kept_private: {
        site_private: hidden[codeAt("site", row)]!,
        seen_at: at.seen_at(row),
        latitude: at.latitude(row),
        longitude: at.longitude(row),
        notes: found.notes(row),
      },
      outing_id: outingIds[outingAt[row]!]!,
      outcome: OUTCOMES[outcomes[row]!]!,
    };
  };

  return {
    outings,
    assumptions: assumed.list(),
    flags: remarks.list(),
    repeatNoise: noise,
    outcomes: OUTCOMES.map((outcome, i) => ({ ...outcome, count: counts[i]! })).filter((each) =>
      each.count > 0
    )
      .map((each) => ({ each, key: `${each.status} ${each.class} ${each.grade}` }))
      .sort((a, b) => b.each.count - a.each.count || (a.key < b.key ? -1 : 1)).map(({ each }) => each),
    privateSites: [...privateSites],
    signals() {
      table.prepareText();
      const out = new Array<Signal>(count);
      for (let i = 0; i < count; i++) out[i] = makeSignal(rows[i]!, readers);
      return out;
    },
  };
}

/** Whether two signals may have one hole: one names another's, or both name a third. */
function severalPerHole({ codes, words, rows, count, hasId }: SignalTable): boolean {
  const holes = codes.hole_id;
  if (holes === null) return false;
  const used = new Uint8Array(words.hole_id.values.length);
  for (let i = 0; i < count; i++) {
    const code = holes[rows[i]!]!;
    if (code === 0) continue;
    if (used[code] === 1 || hasId(words.hole_id.values[code] as string)) return true;
    used[code] = 1;
  }
  return false;
}
