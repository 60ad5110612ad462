import { beforeAll, describe, expect, test } from "vitest";
import {
  type FieldRules,
  fitFieldRules,
  inHundred,
  openRule,
  packModel,
  parseFieldRules,
  unpackModel,
  verdict,
  type VerdictOptions,
} from "../../lib/decide/mod.ts";
import { loadDigLog, type MachinesFile, parseMachines, type Season } from "../../lib/log/mod.ts";
import { loadModel, signalTables } from "../../lib/model/mod.ts";

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
