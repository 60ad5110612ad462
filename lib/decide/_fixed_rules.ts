import { type LearningTable, takeFeatures } from "../model/mod.ts";

/** A dig rule that needs no model: 1 where it says dig, a number a signal of the table. */
export interface FixedRule {
  readonly name: string;
  readonly digs: Uint8Array;
}

/** The rules that need no model: dig everything, by the own call, above the iron break. Those that need what the log lacks are left out. */
export function fixedRules({ x, machine }: LearningTable): FixedRule[] {
  const column = (feature: string): Float64Array | null => {
    if (!x.names.includes(feature)) return null;
    const values = takeFeatures(x, [feature]).columns[0]!;
    return values.every((value) => Number.isNaN(value)) ? null : values;
  };
  const rules: FixedRule[] = [{ name: "dig everything", digs: new Uint8Array(x.n).fill(1) }];
  const rule = (name: string, values: Float64Array, digs: (value: number) => boolean): void => {
    rules.push({ name, digs: Uint8Array.from(values, (value) => digs(value) ? 1 : 0) });
  };
  const call = column("ownCall"), centre = column("centre");
  if (call) {
    rule("dig what I called good", call, (each) => each === 1);
    rule("dig all but what I called iron", call, (each) => each !== 0);
  }
  if (centre) rule("dig above the iron break", centre, (each) => each >= machine.iron_break);
  return rules;
}
