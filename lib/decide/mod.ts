export * from "./cost_of_rule.ts";
export * from "./good_finds.ts";
export * from "./worth_rule.ts";
export * from "./rule_costs.ts";
export * from "./verdict.ts";
export * from "./verdict_fit.ts";
export * from "./verdict_pack.ts";
export * from "./verdict_rule.ts";
