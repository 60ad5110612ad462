import { describe, expect, test } from "vitest";
import {
  phoneCsv,
  phoneJson,
  type PhoneLog,
  type PhoneOuting,
  type PhoneSignal,
} from "../../lib/writeup/phone_log.ts";
import { mergePhoneFile, putEarlierBack, takeFileVersion } from "../../lib/writeup/phone_merge.ts";

const outing: PhoneOuting = {
  id: "a",
  values: { site: "K7", date: "2026-05-02" },
  ended: false,
  deleted: false,
  revision: 1,
};
const signal: PhoneSignal = {
  id: "a-01",
  outing: "a",
  number: 1,
  values: { readings_right: "412 ", dug: "yes", latitude: "12.5", longitude: "4.5" },
  finds: [{ metal: "ferrous" }],
  deleted: false,
  revision: 2,
};
const log: PhoneLog = { outings: [outing], signals: [signal] };
const empty: PhoneLog = { outings: [], signals: [] };

describe("mergePhoneFile()", () => {
  test("its own file adds nothing and differs in nothing, though coordinates and half a pass are not in it", () => {
    for (const text of [phoneCsv(log), phoneJson(log), phoneCsv(log, { coordinates: true })]) {
      expect(mergePhoneFile(log, text)).toEqual({ newOutings: [], newSignals: [], same: 1, different: [] });
    }
  });
  test("brings everything into an empty phone under the ids and numbers it had", () => {
    const { newOutings, newSignals } = mergePhoneFile(empty, phoneCsv(log));
    expect(newOutings).toMatchObject([{ id: "a", ended: true, values: { site: "K7", date: "2026-05-02" } }]);
    expect(newSignals).toMatchObject([{
      id: "a-01",
      number: 1,
      outing: "a",
      values: { readings_right: "412" },
    }]);
    expect(newSignals[0]!.earlier).toBeUndefined();
  });
  test("tells where phone and file differ, cell by cell, of the outing too, and changes neither", () => {
    const other: PhoneLog = {
      outings: [{ ...outing, values: { ...outing.values, holes_filled: "1" } }],
      signals: [{
        ...signal,
        values: { readings_right: "410", dug: "yes" },
        finds: [{ metal: "ferrous" }, { keep: "yes" }],
      }],
    };
    const text = phoneCsv(other);
    const before = JSON.stringify(log);
    const { different, same } = mergePhoneFile(log, text);
    expect(same).toBe(0);
    expect(different.map(({ kind, id, cells }) => [kind, id, cells])).toEqual([
      ["outings", "a", [{ field: "holes_filled", here: "", file: "1" }]],
      ["signals", "a-01", [
        { field: "readings_right", here: "412", file: "410" },
        { field: "keep_2", here: "", file: "yes" },
      ]],
    ]);
    expect(JSON.stringify(log)).toBe(before);
  });
  test("a deleted signal or outing comes back; what was deleted stays as its earlier version where it said something else", () => {
    const gone: PhoneLog = {
      outings: [{ ...outing, deleted: true }],
      signals: [{ ...signal, deleted: true }],
    };
    const same = mergePhoneFile(gone, phoneCsv(log, { coordinates: true }));
    expect(same.newOutings).toMatchObject([{ id: "a", deleted: false }]);
    expect(same.newSignals[0]!.earlier).toBeUndefined();
    const changed = { ...log, signals: [{ ...signal, values: { readings_right: "9" } }] };
    const other = mergePhoneFile(gone, phoneCsv(changed));
    expect(other.newSignals[0]).toMatchObject({ number: 1, deleted: false, values: { readings_right: "9" } });
    expect(other.newSignals[0]!.earlier).toEqual([{ values: signal.values, finds: signal.finds }]);
  });
  test("a cut file changes nothing and says so", () => {
    expect(() => mergePhoneFile(log, phoneJson(log).slice(0, 90))).toThrow(SyntaxError);
  });
});

describe("takeFileVersion() and putEarlierBack()", () => {
  test("nothing is lost on the way there and back, and the records given are left as they were", () => {
    const here = Object.freeze(signal);
    const taken = takeFileVersion(here, { values: { dug: "no" }, finds: [] });
    expect(taken).toMatchObject({ id: "a-01", number: 1, values: { dug: "no" }, finds: [] });
    expect(taken.earlier).toEqual([{ values: signal.values, finds: signal.finds }]);
    const back = putEarlierBack(taken);
    expect([back.values, back.finds]).toEqual([signal.values, signal.finds]);
    expect(back.earlier).toEqual([{ values: { dug: "no" }, finds: [] }]);
    expect(putEarlierBack(back).values).toEqual({ dug: "no" });
    expect(putEarlierBack(here)).toBe(here);
  });
  test("an outing has no finds, and gets none", () => {
    const taken = takeFileVersion(outing, { values: { site: "K9" } });
    expect(taken).toEqual({ ...outing, values: { site: "K9" }, earlier: [{ values: outing.values }] });
  });
  test("coordinates of the phone stay where the file has none", () => {
    const file = phoneCsv({ ...log, signals: [{ ...signal, values: { ...signal.values, dug: "no" } }] });
    const [difference] = mergePhoneFile(log, file).different;
    expect(difference!.values).toMatchObject({ dug: "no", latitude: "12.5", longitude: "4.5" });
    expect(difference!.cells).toEqual([{ field: "dug", here: "yes", file: "no" }]);
  });
});
