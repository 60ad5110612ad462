import { describe, expect, test } from "vitest";
import { correctChances } from "../../lib/model/correct_chances.ts";
import { loadModel, type ModelPlace } from "../../lib/model/load_model.ts";
import { saveModel } from "../../lib/model/save_model.ts";
import { outcomeForest } from "../../lib/model/forest.ts";
import { ridgeLogistic } from "../../lib/model/ridge_logistic.ts";
import { learningTables } from "../../lib/model/season_tables.ts";
import { madeSeason } from "./_season.ts";

const { x, outcome } = learningTables(madeSeason({ signals: 80 }))[0]!;
const saved = () => JSON.parse(JSON.stringify(outcomeForest({ trees: 3 }).fit(x, outcome, { seed: 1 })));

describe("loadModel()", () => {
  test("refuses what is no model of this version as a SyntaxError", () => {
    for (
      const bad of [null, 7, "model", [], {}, { ...saved(), schema: "overiron-model/1" }, {
        ...saved(),
        engine: "other",
      }]
    ) {
      expect(() => loadModel(bad)).toThrow(SyntaxError);
      expect(() => loadModel(bad)).toThrow(
        /^Cannot load model: the file must be a saved model of this version/,
      );
    }
  });
  test("refuses a forest that is truncated, loops, or asks for what is not there", () => {
    const forest = saved();
    forest.parameters.trees[0].left.pop();
    expect(() => loadModel(forest)).toThrow(/lists must fit together/);
    const loop = saved();
    const split = loop.parameters.trees[0].feature.findIndex((j: number) => j >= 0);
    loop.parameters.trees[0].left[split] = 0;
    expect(() => loadModel(loop)).toThrow(/lead downwards/);
    const beyond = saved();
    beyond.parameters.trees[0].feature[split] = 99;
    expect(() => loadModel(beyond)).toThrow(SyntaxError);
    const extra = { ...saved(), __proto__x: 1 };
    expect(() => loadModel(extra)).toThrow(SyntaxError);
    const shares = saved();
    shares.parameters.trees[0].shares[0] = 2;
    expect(() => loadModel(shares)).toThrow(SyntaxError);
  });
  test("refuses a logistic model with a coefficient missing or not finite", () => {
    const model = JSON.parse(JSON.stringify(ridgeLogistic().fit(x, outcome, { seed: 1 })));
    model.parameters.coefficients.pop();
    expect(() => loadModel(model)).toThrow(/one coefficient a column/);
    model.parameters.coefficients.push(null);
    expect(() => loadModel(model)).toThrow(SyntaxError);
  });
  test("refuses models nested in models", () => {
    let model: unknown = { ...saved() };
    for (let depth = 0; depth < 3; depth++) {
      model = { ...saved(), engine: "two-classes", parameters: { inner: model, maskedShare: 0.4 } };
    }
    expect(() => loadModel(model)).toThrow(SyntaxError);
  });
  test("takes a correction of its chances along, and refuses one that is none, of another version, or inside another model", () => {
    const correction = { version: 1, method: "temperature", classes: 3, temperature: 0.8 } as const;
    const file = { ...saved(), recalibration: correction };
    expect(loadModel(file).probabilities(x)).toEqual(
      correctChances(loadModel(saved()).probabilities(x), correction),
    );
    expect(JSON.parse(JSON.stringify(loadModel(JSON.stringify(file))))).toEqual(file);
    const curve = { at: [0.1, 0.9], share: [0, 1] };
    const curves = {
      version: 1,
      method: "isotonic",
      classes: 3,
      learntFrom: 40,
      curves: [curve, curve, curve],
    };
    expect(loadModel({ ...saved(), recalibration: curves }).probabilities(x).every((p) => p > 0)).toBe(true);
    for (
      const bad of [
        null,
        { ...correction, version: 2 },
        { ...correction, temperature: 0 },
        { ...correction, temperature: null },
        { ...correction, classes: 4 },
        { ...correction, more: 1 },
        { ...curves, curves: [curve, curve] },
        { ...curves, curves: [curve, curve, { at: [0.9, 0.1], share: [0, 1] }] },
        { ...curves, curves: [curve, curve, { at: [0.1, 0.9], share: [1, 0] }] },
        { ...curves, curves: [curve, curve, { at: [0.1], share: [0, 1] }] },
        { ...curves, learntFrom: 0 },
      ]
    ) {
      expect(() => loadModel({ ...saved(), recalibration: bad }), JSON.stringify(bad)).toThrow(
        /^Cannot load model: the file must be a saved model of this version/,
      );
    }
    const around = { ...saved(), engine: "two-classes", parameters: { inner: file, maskedShare: 0.4 } };
    expect(() => loadModel(around)).toThrow(SyntaxError);
  });
  test("reads the text as well, and refuses one that is cut short anywhere", () => {
    const text = JSON.stringify(saved());
    expect(loadModel(text).probabilities(x)).toEqual(loadModel(saved()).probabilities(x));
    for (let i = 1; i < 20; i++) {
      const cut = text.slice(0, Math.floor(text.length * i / 20));
      expect(() => loadModel(cut)).toThrow(
        new SyntaxError(
          "Cannot load model: the file must be a saved model of this version (whole file: no JSON, or cut short)",
        ),
      );
    }
  });
  test.each<[string, (tree: Record<string, unknown[]>) => void]>([
    ["NaN for a threshold", (tree) => tree.threshold![0] = NaN],
    ["an infinite threshold", (tree) => tree.threshold![0] = Infinity],
    ["NaN among the shares", (tree) => tree.shares![0] = NaN],
    ["a child that is its own parent", (tree) => tree.left![0] = 0],
    ["a child beyond the end", (tree) => tree.left![0] = 2 ** 40],
    ["a child between two nodes", (tree) => tree.left![0] = 1.5],
    ["a text for a number", (tree) => tree.feature![0] = "0"],
    ["a side that is none", (tree) => tree.missingLeft![0] = 2],
    ["lists of other lengths", (tree) => tree.threshold!.push(0)],
  ])("refuses a forest with %s", (_, spoil) => {
    const forest = saved();
    spoil(forest.parameters.trees.find((tree: { feature: number[] }) => tree.feature.length > 1));
    expect(() => loadModel(forest)).toThrow(
      /^Cannot load model: the file must be a saved model of this version/,
    );
  });
  test("refuses sizes that no season has, before it makes room for them", () => {
    const forest = saved();
    forest.parameters.trees[0] = { ...forest.parameters.trees[0], feature: new Array(2_000_002).fill(-1) };
    expect(() => loadModel(forest)).toThrow(SyntaxError);
    expect(() => loadModel({ ...saved(), name: "x".repeat(1e6) })).toThrow(SyntaxError);
    expect(() => loadModel({ ...saved(), learntFrom: 1e300 })).toThrow(SyntaxError);
  });
  test("a key named __proto__ changes nothing and is refused", () => {
    const text = JSON.stringify(saved()).replace("{", '{"__proto__":{"polluted":true},');
    expect(() => loadModel(text)).toThrow(SyntaxError);
    expect(({} as { polluted?: boolean }).polluted).toBeUndefined();
    const inner = JSON.stringify(saved()).replace(
      '"parameters":{',
      '"parameters":{"__proto__":{"features":["centre"]},',
    );
    expect(() => loadModel(inner)).toThrow(SyntaxError);
  });
  test("refuses another machine, scale, discrimination or settings set, unless told", () => {
    const table = learningTables(madeSeason({ signals: 80 }))[0]!;
    const file = saveModel(outcomeForest({ trees: 3 }).fit(x, outcome, { seed: 1 }), table);
    const { machine, discrimination } = table, settings = ["open"];
    expect(loadModel(JSON.stringify(file), { on: { machine, discrimination, settings } }).probabilities(x))
      .toEqual(loadModel(file).probabilities(x));
    const cases: [ModelPlace, string][] = [
      [
        { machine: { ...machine, machine: "Machine B" }, discrimination },
        "it learnt with Machine A, got Machine B",
      ],
      [
        { machine: { ...machine, iron_break: 200 }, discrimination },
        "the scale and the iron break of Machine A must be those it learnt with",
      ],
      [
        { machine, discrimination: "iron-silenced" },
        "it learnt with discrimination none, got iron-silenced",
      ],
      [{ machine, discrimination, settings: ["deep", null] }, 'it never saw settings "deep", without a name'],
    ];
    for (const [on, why] of cases) {
      expect(() => loadModel(file, { on })).toThrow(
        new RangeError(`Cannot use model here: ${why}; ask for it with elsewhere: true`),
      );
      expect(loadModel(file, { on, elsewhere: true }).probabilities(x)).toEqual(
        loadModel(file).probabilities(x),
      );
    }
    expect(() => loadModel(saved(), { on: { machine, discrimination } })).toThrow(
      "Cannot use model here: it does not say with which machine it learnt; ask for it with elsewhere: true",
    );
  });
});
