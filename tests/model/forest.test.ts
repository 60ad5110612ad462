import { describe } from "vitest";
import { outcomeForest } from "../../lib/model/forest.ts";
import { classifierContract } from "./classifier_contract.ts";

describe("outcomeForest()", () => {
  classifierContract(() => outcomeForest(), { rowOrder: "may differ", weights: "taken" });
});
