import type { HalfGapsOfKind } from "../garden/mod.ts";
import { counted } from "../numbers/mod.ts";
import { say, show, type Shown, stated } from "./show.ts";

/**
 * Says how far half gaps of one kind of neighbour lie apart, beside the widest interval of a single one. Recorded as `garden.kindLowestCm`,
 * `garden.kindHighestCm` and `garden.kindWidestIntervalCm`.
 *
 * @example
 * ```ts
 * import { gardenKinds } from "overiron";
 * if (gardenKinds([]).text !== "") throw new Error("no kind, nothing to say");
 * ```
 */
export function gardenKinds(kinds: readonly HalfGapsOfKind[]): Shown {
  return show(...kinds.flatMap((each) => {
    if (each.range === null) return [];
    const of = { machine: each.machine, target: each.target, kind: each.kind };
    const pairs = { pairs: each.pairs };
    const number = (id: string, value: number) =>
      stated(id, of, counted(value, pairs), { form: "value", decimals: 1 });
    const count = (id: string, value: number) => stated(id, of, counted(value, pairs));
    const laid = count("garden.kindPairs", each.pairs);
    const rest = say`Of these layings ${count("garden.kindNever", each.never)} never reach a half gap and ${
      count("garden.kindCannotTell", each.cannotTell)
    } cannot be told yet.`;
    if (each.pairs - each.never - each.cannotTell === 1) {
      return [
        say`Beside ${each.target} on ${each.machine}, of ${laid} layings of the kind ${each.kind} only one has a half gap, ${
          number("garden.kindHighestCm", each.range.highest.value)
        }.`,
        rest,
      ];
    }
    return [
      say`Beside ${each.target} on ${each.machine}, half gaps of ${laid} layings of the kind ${each.kind} run from ${
        number("garden.kindLowestCm", each.range.lowest.value)
      } to ${
        number("garden.kindHighestCm", each.range.highest.value)
      }; the widest interval of a single one is ${
        number("garden.kindWidestIntervalCm", each.widestIntervalCm!)
      }. Another ${each.kind} of yours may lie anywhere in such a range or beyond it.`,
      rest,
    ];
  }));
}
