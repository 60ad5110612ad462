import { describe } from "vitest";
import { toneRule } from "../../lib/model/tone_rule.ts";
import { classifierContract } from "./classifier_contract.ts";

describe("toneRule()", () => {
  classifierContract(() => toneRule(210, { breaks: [210, 350] }), { rowOrder: "same", weights: "taken" });
});
