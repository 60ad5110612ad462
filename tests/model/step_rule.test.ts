import { describe } from "vitest";
import { stepRule } from "../../lib/model/step_rule.ts";
import { classifierContract } from "./classifier_contract.ts";

describe("stepRule()", () => {
  classifierContract(() => stepRule(), { rowOrder: "same", weights: "taken" });
});
