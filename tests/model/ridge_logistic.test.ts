import { describe } from "vitest";
import { ridgeLogistic } from "../../lib/model/ridge_logistic.ts";
import { classifierContract } from "./classifier_contract.ts";

describe("ridgeLogistic()", () => {
  classifierContract(() => ridgeLogistic(), { rowOrder: "same", weights: "taken" });
});
