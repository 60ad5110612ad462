import type { Discrimination, Machine, ToneScheme } from "../log/mod.ts";

/** Rows of one machine under one discrimination setting: what may be counted together. */
export interface Arm<Row> {
  readonly machine: Machine;
  readonly discrimination: Discrimination;
  readonly rows: readonly Row[];
}

/**
 * Splits rows by machine and discrimination, in code-unit order: a silent pass means another thing where iron is
 * silenced, and two machines have two scales.
 */
export function armsOf<Row extends { readonly machine: string; readonly discrimination: Discrimination }>(
  machines: readonly Machine[],
  rows: readonly Row[],
): Arm<Row>[] {
  const known = new Map(machines.map((machine) => [machine.machine, machine]));
  const groups = new Map<string, Row[]>();
  for (const row of rows) {
    if (!known.has(row.machine)) {
      throw new RangeError(
        `Cannot give bands: machine must be in the machines list, got ${JSON.stringify(row.machine)}`,
      );
    }
    const key = JSON.stringify([row.machine, row.discrimination]);
    const group = groups.get(key);
    if (group) group.push(row);
    else groups.set(key, [row]);
  }
  return [...groups.keys()].sort((a, b) => a < b ? -1 : a > b ? 1 : 0).map((key) => {
    const group = groups.get(key)!;
    return { machine: known.get(group[0]!.machine)!, discrimination: group[0]!.discrimination, rows: group };
  });
}

/** What a result of an arm is about. */
export const armOf = (arm: Arm<unknown>): Readonly<Record<string, string>> => ({
  machine: arm.machine.machine,
  discrimination: arm.discrimination,
});

export function schemeFor(
  machine: Machine,
  schemes: Readonly<Record<string, ToneScheme>> | undefined,
): ToneScheme {
  return bandedScheme(schemes?.[machine.machine] ?? machine.tones, machine.iron_break);
}

/** A sliding pitch told in bands: its two ends, apart at its own single break or else at the iron break. */
export function bandedScheme(scheme: ToneScheme, ironBreak: number): ToneScheme {
  if (scheme.breaks.length === scheme.bands.length - 1) return scheme;
  return { ...scheme, breaks: [ironBreak] };
}
