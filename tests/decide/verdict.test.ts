import { beforeAll, describe, expect, test } from "vitest";
import {
  decisionCurve,
  type FieldRules,
  fieldStudies,
  fitFieldRules,
  inHundred,
  openRule,
  packModel,
  parseFieldRules,
  ruleCosts,
  unpackModel,
  verdict,
  type VerdictOptions,
  worthRule,
} from "../../lib/decide/mod.ts";
import { loadDigLog, type MachinesFile, parseMachines, type Season } from "../../lib/log/mod.ts";
import {
  correctChances,
  correctedModel,
  type Correction,
  loadModel,
  predictionRows,
  signalTables,
  studyRecalibration,
  type TableStudy,
} from "../../lib/model/mod.ts";
import { conformalScores, conformalThreshold, isPresent } from "../../lib/numbers/mod.ts";
import { modelCard } from "../../lib/writeup/model_card.ts";

const root = Deno.env.get("OVERIRON_ROOT") ?? Deno.cwd();
let machines: MachinesFile, season: Season;
let forest: FieldRules, logistic: FieldRules, simple: FieldRules;

beforeAll(async () => {
  machines = parseMachines(await Deno.readTextFile(`${root}/datasets/demo/machines.json`));
  const bytes = await Deno.readFile(`${root}/datasets/demo/dig-log.csv`);
  ({ season } = await loadDigLog({ name: "dig-log.csv", bytes }, machines));
  [forest, logistic, simple] = [
    await fitFieldRules(season, { seed: 1, engine: "forest" }),
    await fitFieldRules(season, { seed: 1, engine: "logistic" }),
    await fitFieldRules(season, { seed: 1 }),
  ];
});

const at = (rules: FieldRules, machine: string) =>
  rules.rules.find((rule) => rule.machine === machine && rule.discrimination === "none")!;

describe("verdict()", () => {
  test("gives the chances of the library's model on the library's features, to 1e-12, signal by signal", () => {
    for (const rules of [forest, logistic, simple]) {
      for (const name of ["Machine A", "Machine B"]) {
        const rule = at(rules, name), open = openRule(rule, rules.machines);
        const table = signalTables(season).find(({ machine, discrimination }) =>
          machine.machine === name && discrimination === "none"
        )!;
        const expected = loadModel(rule.model).probabilities(table.x);
        const above = table.x.columns[table.x.names.indexOf("aboveSiteIron")]!;
        const centre = table.x.columns[table.x.names.indexOf("centre")]!;
        let said = 0;
        table.signals.forEach((signal, i) => {
          // What the page works out from the site's own signals, taken here from the table.
          const siteIron = Number.isNaN(above[i]!) ? null : centre[i]! - above[i]!;
          const { settings, machine, discrimination } = signal;
          const got = verdict(open, signal, {
            settings,
            machine,
            discrimination,
            machines,
            holesWorth: 5,
            siteIron,
          });
          if (got.kind === "refused") return;
          said++;
          got.chances.forEach((chance, k) =>
            expect(Math.abs(chance - expected[3 * i + k]!)).toBeLessThan(1e-12)
          );
          expect(got.says).toBe(1 - expected[3 * i]! >= 1 / 5 ? "dig" : "leave");
          expect(got.ruleVersion).toBe(`${rule.version}-w5`);
        });
        expect(said).toBeGreaterThan(0.8 * table.signals.length);
      }
    }
  });

  const asked = (change: Partial<VerdictOptions> = {}) => {
    const signal = season.signals.find((each) => each.settings === "A-open" && each.right !== null)!;
    const options = {
      settings: "A-open",
      machine: "Machine A",
      discrimination: "none" as const,
      machines,
      holesWorth: 5,
    };
    return verdict(openRule(at(forest, "Machine A"), forest.machines), signal, { ...options, ...change });
  };

  test("is refused with another machine, discrimination, settings set, coil, and without a settings set", () => {
    expect(asked().kind).toBe("said");
    const refused = (change: Partial<VerdictOptions>) => {
      const got = asked(change);
      return got.kind === "refused" ? got.reason : "said";
    };
    expect(refused({ machine: "Machine B" })).toBe("The rule was learnt with Machine A, not with Machine B");
    expect(refused({ discrimination: "iron-silenced" })).toMatch(
      /discrimination "none", not "iron-silenced"/,
    );
    expect(refused({ settings: null })).toMatch(/No settings set is named/);
    expect(refused({ settings: "A-other" })).toMatch(/not among those/);
    const coil = { length_cm: 15, width_cm: 15, winding: "single" as const };
    const smaller = {
      ...machines,
      settings: machines.settings.map((each) => each.settings === "A-open" ? { ...each, coil } : each),
    };
    expect(refused({ machines: smaller })).toMatch(/coil or the settings/);
    const otherScale = {
      ...machines,
      machines: machines.machines.map((each) => ({ ...each, iron_break: each.iron_break + each.scale.step })),
    };
    expect(refused({ machines: otherScale })).toMatch(/iron break of Machine A/);
  });

  test("holds under the same settings by another name", () => {
    const renamed = {
      ...machines,
      settings: machines.settings.map((each) =>
        each.settings === "A-open" ? { ...each, settings: "mine" } : each
      ),
    };
    expect(asked({ machines: renamed, settings: "mine" }).kind).toBe("said");
  });

  test("is refused without a pass, and for a reading off the scale", () => {
    const rule = openRule(at(forest, "Machine A"), forest.machines);
    const options = {
      settings: "A-open",
      machine: "Machine A",
      discrimination: "none" as const,
      machines,
      holesWorth: 5,
    };
    const bare = {
      right: null,
      left: null,
      cross: null,
      both_ways: null,
      after_turn: null,
      iron_near: null,
      depth_indicated: null,
      my_call: null,
    };
    expect(verdict(rule, bare, options)).toEqual({
      kind: "refused",
      reason: "No pass to the right or left is written down yet",
    });
    const passes = {
      written: "999",
      kind: "passes" as const,
      readings: [999],
      silent: 0,
      passes: 1,
      approximate: false,
    };
    expect(verdict(rule, { ...bare, right: passes }, options)).toEqual({
      kind: "refused",
      reason: "A reading must lie from 0 to 600, got 999",
    });
  });

  test("gives as its reason the feature without which the chance moves most, left out one at a time", () => {
    for (const rules of [forest, logistic]) {
      const rule = at(rules, "Machine A"), model = loadModel(rule.model);
      const table = signalTables(season).find(({ machine, discrimination }) =>
        machine.machine === "Machine A" && discrimination === "none"
      )!;
      const places = rule.model.features.map((name) => table.x.names.indexOf(name));
      const group = Int32Array.of(0);
      const good = (i: number, leftOut: number | null): number =>
        1 - model.probabilities({
          n: 1,
          names: rule.model.features,
          columns: places.map((j) => Float64Array.of(j === leftOut ? NaN : table.x.columns[j]![i]!)),
          whyMissing: places.map((j) => Uint8Array.of(j === leftOut ? 3 : table.x.whyMissing[j]![i]!)),
          groups: { site: group, outing: group, observer: group },
        })[0]!;
      const above = table.x.columns[table.x.names.indexOf("aboveSiteIron")]!;
      const centre = table.x.columns[table.x.names.indexOf("centre")]!;
      let compared = 0;
      table.signals.slice(0, 40).forEach((signal, i) => {
        const { settings, machine, discrimination } = signal;
        const siteIron = Number.isNaN(above[i]!) ? null : centre[i]! - above[i]!;
        const options = { settings, machine, discrimination, machines, holesWorth: 5, siteIron };
        const got = verdict(openRule(rule, rules.machines), signal, options);
        if (got.kind === "refused") return;
        const all = good(i, null);
        const moved = places.map((j) => Math.abs(good(i, j) - all));
        const most = Math.max(...moved);
        if (most < 1e-9) {
          expect(got.reason).toMatch(/^No number of this signal moves it/);
          return;
        }
        const without = good(i, places[moved.indexOf(most)]!);
        expect(got.reason).toContain(`(without it ${inHundred(Math.round(100 * without))} in place of`);
        expect(got.reason.startsWith(without < all ? "Speaks for it" : "Speaks against it")).toBe(true);
        compared++;
      });
      expect(compared).toBeGreaterThan(20);
    }
  });

  test("a clear signal has a set of one outcome, a doubtful one of several", () => {
    const rule = openRule(at(forest, "Machine A"), forest.machines);
    const options = {
      settings: "A-open",
      machine: "Machine A",
      discrimination: "none" as const,
      machines,
      holesWorth: 5,
    };
    const sets = season.signals.filter((each) => each.settings === "A-open").flatMap((signal) => {
      const got = verdict(rule, signal, options);
      return got.kind === "said" ? [got.set.length] : [];
    });
    expect(sets.filter((size) => size === 1).length).toBeGreaterThan(50);
    expect(sets.filter((size) => size > 1).length).toBeGreaterThan(10);
  });
});

describe("fitFieldRules()", () => {
  test("the same season and seed give the same rules; another seed another version of a forest", async () => {
    const again = await fitFieldRules(season, { seed: 1, engine: "forest" });
    expect(JSON.stringify(again)).toBe(JSON.stringify(forest));
    const other = await fitFieldRules(season, { seed: 2, engine: "forest" });
    expect(at(other, "Machine A").version).not.toBe(at(forest, "Machine A").version);
  });
  test("holds no site, day, observer or note of the log", () => {
    const text = JSON.stringify(simple);
    const secret = new Set(season.signals.flatMap(({ site, date, observer }) => [site, date, observer]));
    for (const word of secret) if (word !== null) expect(text).not.toContain(word);
    expect(text).not.toContain("notes");
  });
  test("card counts add up to the dug signals with a reading", () => {
    const { card, learntFrom } = at(forest, "Machine A");
    const total = card!.cells.flat().reduce((sum, { ferrous, good }) => sum + ferrous + good, 0);
    expect(total).toBeGreaterThan(0.9 * learntFrom.signals);
    expect(total).toBeLessThanOrEqual(learntFrom.signals);
  });
  test("leaves a setting out that is too small, with the reason", () => {
    expect(simple.leftOut.map(({ discrimination }) => discrimination)).toContain("iron-silenced");
    expect(simple.leftOut[0]!.reason.length).toBeGreaterThan(20);
  });
});

describe("packModel()", () => {
  test("unpackModel() gives the same chances to the last bit, and the pack is under half as long", () => {
    for (const rule of [...forest.rules, ...simple.rules]) {
      const packed = JSON.parse(JSON.stringify(packModel(rule.model)));
      const table = signalTables(season).find(({ machine }) => machine.machine === rule.machine)!;
      const [a, b] = [loadModel(rule.model), loadModel(unpackModel(packed))].map((model) =>
        model.probabilities(table.x)
      );
      expect(b).toEqual(a);
      if (rule.engine === "forest") {
        expect(JSON.stringify(packed).length).toBeLessThan(JSON.stringify(rule.model).length / 2);
      }
    }
  });
});

/** A study whose engines are far too sure: each chance cubed, rows scaled to sum to 1. */
const tooSure = (study: TableStudy): TableStudy => ({
  ...study,
  outOfFold: study.outOfFold.map((each) => {
    if (each.kind !== "predicted") return each;
    const cubes = each.probabilities.map((p) => p ** 3);
    const probabilities = cubes.map((cube, at) => {
      const from = at - at % 3;
      return cube / (cubes[from]! + cubes[from + 1]! + cubes[from + 2]!);
    });
    return { ...each, probabilities };
  }),
});

describe("chances that are clearly better corrected on sites not seen", () => {
  let studies: TableStudy[], rules: FieldRules, study: TableStudy;
  beforeAll(async () => {
    studies = (await fieldStudies(season, { seed: 1 })).map(tooSure);
    rules = await fitFieldRules(season, { seed: 1, engine: "logistic", studies });
    study = studies.find(({ table }) =>
      table.machine.machine === "Machine A" && table.discrimination === "none"
    )!;
  });
  const options = (signal: Season["signals"][number], siteIron: number | null) => {
    const { settings, machine, discrimination } = signal;
    return { settings, machine, discrimination, machines, holesWorth: 5, siteIron };
  };

  test("the rule's model carries the correction, and its sets are calibrated on chances so corrected", () => {
    const rule = at(rules, "Machine A"), found = studyRecalibration(study, "logistic")!;
    expect(found.helps).toBe(true);
    expect(rule.model.recalibration).toEqual(found.correction);
    expect(at(logistic, "Machine A").model.recalibration).toBeUndefined();
    const { outcome } = study.table;
    const thresholds = [0, 1, 2].map((k) => {
      const rows = [...outcome.keys()].filter((i) => outcome[i] === k).map((i) => [
        ...found.probabilities.subarray(3 * i, 3 * i + 3),
      ]);
      const threshold = conformalThreshold(conformalScores(rows, rows.map(() => k)), 0.1);
      return "value" in threshold ? threshold.value : null;
    });
    expect(rule.sets.thresholds).toEqual(thresholds);
  });
  test("the verdict in the pack is the verdict of the library, to the last bit, and goes by the corrected chances", () => {
    const rule = at(rules, "Machine A");
    const { recalibration, ...bare } = rule.model;
    const packed = JSON.parse(JSON.stringify({ ...rule, model: packModel(rule.model) })) as typeof rule;
    // The correction is small: under 100 bytes of the pack.
    expect(JSON.stringify(packed.model).length - JSON.stringify(packModel(bare)).length).toBeLessThan(100);
    const inPack = openRule({ ...packed, model: unpackModel(packed.model) }, rules.machines);
    const inLibrary = openRule(rule, rules.machines);
    const table = signalTables(season).find(({ machine, discrimination }) =>
      machine.machine === "Machine A" && discrimination === "none"
    )!;
    const plain = loadModel(bare).probabilities(table.x);
    const corrected = correctChances(plain, recalibration!);
    const above = table.x.columns[table.x.names.indexOf("aboveSiteIron")]!;
    const centre = table.x.columns[table.x.names.indexOf("centre")]!;
    let said = 0, moved = 0;
    table.signals.forEach((signal, i) => {
      const here = options(signal, Number.isNaN(above[i]!) ? null : centre[i]! - above[i]!);
      const got = verdict(inPack, signal, here);
      expect(got).toEqual(verdict(inLibrary, signal, here));
      if (got.kind === "refused") return;
      said++;
      got.chances.forEach((chance, k) =>
        expect(Math.abs(chance - corrected[3 * i + k]!)).toBeLessThan(1e-12)
      );
      if (Math.abs(got.chances[0] - plain[3 * i]!) > 0.01) moved++;
    });
    expect(said).toBeGreaterThan(0.8 * table.signals.length);
    expect(moved).toBeGreaterThan(0.5 * said);
  });
  test("a pack of rising curves, alone or around a model of two classes, gives the same chances to the last bit", () => {
    const curve = { at: [0.1, 0.45, 0.8], share: [0.02, 0.5, 0.91] };
    for (const rule of [...forest.rules, ...simple.rules]) {
      const classes = rule.classes === "three" ? 3 : 2;
      const correction: Correction = {
        version: 1,
        method: "isotonic",
        classes,
        learntFrom: 400,
        curves: Array.from({ length: classes }, () => curve),
      };
      const model = correctedModel(loadModel(rule.model), correction);
      const packed = JSON.parse(JSON.stringify(packModel(model.toJSON())));
      const { x } = signalTables(season).find(({ machine }) => machine.machine === rule.machine)!;
      expect(loadModel(unpackModel(packed)).probabilities(x)).toEqual(model.probabilities(x));
      expect(model.probabilities(x)).not.toEqual(loadModel(rule.model).probabilities(x));
    }
  });
  test("dig rules, the decision curve and the predictions go by them", () => {
    const named = { ...study, recommendation: { ...study.recommendation!, recommended: "logistic" } };
    const { used, foldsCorrected } = studyRecalibration(study, "logistic")!;
    expect(foldsCorrected).toBeGreaterThan(0);
    const found = study.outOfFold.find(({ name }) => name === "logistic")!;
    if (found.kind !== "predicted") throw new Error("no chances");
    const holes = (chances: Float64Array) => worthRule(chances, 5).reduce((sum, dig) => sum + dig, 0);
    expect(holes(used)).not.toBe(holes(found.probabilities));
    const { costs } = ruleCosts(named, { worths: [5] });
    expect(costs.at(-1)).toMatchObject({ name: "logistic, a good find worth 5 holes", holes: holes(used) });
    const [point] = decisionCurve(named, { worths: [5] })!.points;
    const digs = worthRule(used, 5), n = digs.length;
    const sum = digs.reduce((net, dig, i) => net + dig * (study.table.outcome[i] === 0 ? -0.25 : 1), 0);
    const { net } = point!.rules[0]!;
    expect(isPresent(net) && net.value).toBeCloseTo(100 * sum / n, 9);
    const rows = predictionRows([named]);
    const lines = (model: string) => rows.filter((row) => row.model === model).map(({ ferrous }) => ferrous);
    const ferrous = (from: Float64Array) =>
      Array.from({ length: n }, (_, i) => Number(from[3 * i]!.toFixed(6)));
    expect(lines("logistic, corrected")).toEqual(ferrous(used));
    expect(lines("logistic")).toEqual(ferrous(found.probabilities));
  });
  test("the card says that they are corrected and what that brings; where it does not help, that they are plain", () => {
    const line = (of: FieldRules, studies: TableStudy[]) =>
      modelCard(of, season, { inputs: [], studies }).split("\n").filter((each) =>
        each.startsWith("- Chances: ")
      );
    const corrected = line(rules, studies);
    expect(corrected[0]).toMatch(
      /^- Chances: corrected by a temperature of [\d.]+ \([^)]*\), version 1: on sites not learnt from their log loss changes by −[\d.]+.nats \(/,
    );
    expect(corrected).toHaveLength(rules.rules.length);
  });
});

describe("chances that no correction clearly betters", () => {
  test("stay the engine's own in the rule, and the card says so with the change and its interval", async () => {
    const studies = await fieldStudies(season, { seed: 1 });
    const rules = await fitFieldRules(season, { seed: 1, studies });
    for (const rule of rules.rules) {
      const study = studies.find(({ table }) =>
        table.machine.machine === rule.machine && table.discrimination === rule.discrimination
      )!;
      const { helps } = studyRecalibration(study, rule.engine)!;
      expect(rule.model.recalibration !== undefined).toBe(helps);
      const card = modelCard({ ...rules, rules: [rule] }, season, { inputs: [], studies });
      expect(card.includes("- Chances: as the")).toBe(!helps);
      expect(card).toMatch(/their log loss.* changes by .*nats \(.* to .*\)/);
    }
  });
});

describe("parseFieldRules()", () => {
  const fault = (text: string): string => {
    try {
      parseFieldRules(text, "m.json");
    } catch (error) {
      expect(error).toBeInstanceOf(SyntaxError);
      return (error as Error).message;
    }
    return "no error";
  };
  test("reads what fitFieldRules() gave", () => {
    expect(parseFieldRules(JSON.stringify(simple))).toEqual(JSON.parse(JSON.stringify(simple)));
  });
  test("tells a cut file, another kind, another version, a bare model and a broken part apart", () => {
    const text = JSON.stringify(simple);
    expect(fault(text.slice(0, text.length / 2))).toMatch(/not JSON, or was cut off/);
    expect(fault('{"a":1}')).toMatch(/another kind/);
    expect(fault("null")).toMatch(/another kind/);
    expect(fault(text.replace("field-rules/1", "field-rules/2"))).toMatch(
      /another version \(overiron-field-rules\/2\)/,
    );
    expect(fault(JSON.stringify(simple.rules[0]!.model))).toMatch(/a bare model/);
    expect(fault(text.replace('"signals":', '"signal":'))).toMatch(
      /a part of it is wrong \(rules\.0\.learntFrom/,
    );
  });
});
