import { describe, expect, test } from "vitest";
import { outcomeForest, outcomeTree } from "../../lib/model/forest.ts";
import { learningTables } from "../../lib/model/season_tables.ts";
import { classifierContract } from "./classifier_contract.ts";
import { madeSeason } from "./_season.ts";

describe("outcomeForest()", () => {
  classifierContract(() => outcomeForest({ trees: 100 }), { rowOrder: "may differ", weights: "taken" });
  test("uses readings alone unless told: neither the person's call nor the site's iron", () => {
    const { x, outcome } = learningTables(madeSeason({ signals: 60 }))[0]!;
    const { features } = outcomeForest({ trees: 3 }).fit(x, outcome, { seed: 1 }).toJSON();
    expect(features).toContain("centre");
    expect(features).not.toContain("ownCall");
    expect(features).not.toContain("indicatedDepthStep"); // nobody logged it
  });
  test("refuses a table in which no feature varies", () => {
    const group = new Int32Array(2);
    const x = {
      n: 2,
      names: ["centre"],
      columns: [Float64Array.of(5, 5)],
      whyMissing: [new Uint8Array(2)],
      groups: { site: group, outing: group, observer: group },
    };
    expect(() => outcomeForest().fit(x, Uint8Array.of(0, 1), { seed: 1 })).toThrow(
      "Cannot fit forest: need a feature that varies, got none",
    );
  });
});

describe("outcomeTree()", () => {
  classifierContract(() => outcomeTree(), { rowOrder: "same", weights: "taken" });
});
