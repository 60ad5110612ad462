import type { Remarks } from "./apply_schema.ts";
import type { RowValues } from "./fast_row_values.ts";
import type { SignalTable } from "./fast_signal_table.ts";
import { JOINED } from "./_join_notes.ts";
import type { Outing } from "./rows.ts";

/** The outings of a log's signals. */
export interface JoinedOutings {
  readonly outings: readonly Outing[];
  /** By data row: which of them. */
  readonly outingAt: Int32Array;
}

/** Tells which outing each signal belongs to, by id and site, or by site, day, machine and observer; what is taken for granted goes to `assumed`. */
export function joinOutings(found: SignalTable, values: RowValues, assumed: Remarks): JoinedOutings {
  const { table, rows, count, words, codes, of, machinesOf } = found;
  const { valueAt, passesAt, first } = values;
  const keyOfMachine = machinesOf.map(({ machine, settings }) =>
    machinesOf.findIndex((each) => each.machine === machine && each.settings === settings)
  );
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
        at = outings.length;
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
  return { outings, outingAt };
}
