import { describe } from "vitest";
import { baseRates } from "../../lib/model/base_rates.ts";
import { classifierContract } from "./classifier_contract.ts";

describe("baseRates()", () => {
  classifierContract(() => baseRates(), { rowOrder: "same", weights: "taken", needsFeatures: false });
});
