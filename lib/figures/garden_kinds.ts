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
    const known = each.pairs - each.never - each.cannotTell;
    const others = [
      each.never > 0 ? `${each.never} never ${each.never === 1 ? "has" : "have"} one` : "",
      each.cannotTell > 0 ? `${each.cannotTell} cannot be told yet` : "",
    ].filter((words) => words !== "").join(", ");
    if (known === 1) {
      return [
        say`Beside ${each.target} on ${each.machine}, one of ${
          String(each.pairs)
        } layings of the kind ${each.kind} has a half gap, ${
          number("garden.kindHighestCm", each.range.highest.value)
        }; ${others}.`,
      ];
    }
    return [
      say`Beside ${each.target} on ${each.machine}, half gaps of ${
        String(each.pairs)
      } layings of the kind ${each.kind} run from ${
        number("garden.kindLowestCm", each.range.lowest.value)
      } to ${number("garden.kindHighestCm", each.range.highest.value)}${
        others === "" ? "" : ` (${others})`
      }; the widest interval of a single one is ${
        each.widestIntervalCm!.toFixed(1)
      } cm. Another ${each.kind} of yours may lie anywhere in such a range or beyond it.`,
    ];
  }));
}
