import { describe } from "vitest";
import { ownCall } from "../../lib/model/own_call.ts";
import { classifierContract } from "./classifier_contract.ts";

describe("ownCall()", () => {
  classifierContract(() => ownCall(), { rowOrder: "same", weights: "taken" });
});
