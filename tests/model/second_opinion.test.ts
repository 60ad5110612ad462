import { describe } from "vitest";
import { secondOpinion } from "../../lib/model/second_opinion.ts";
import { classifierContract } from "./classifier_contract.ts";

describe("secondOpinion()", () => {
  classifierContract(() => secondOpinion({ trees: 10 }), { rowOrder: "same", weights: "refused" });
});
