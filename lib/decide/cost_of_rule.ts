import { absent, counted, type Estimate } from "../numbers/mod.ts";
import { ratioBySite } from "../model/mod.ts";

/** What a dig rule would have cost on the holes that were dug, and what it would have left in the ground. */
export interface RuleCost {
  readonly name: string;
  /** Holes the rule would have dug. */
  readonly holes: number;
  /** Good finds in those holes. */
  readonly goodFinds: number;
  /** Holes for one good find: 1 or above unless holes hold several. Absent where the rule finds none. */
  readonly holesPerGoodFind: Estimate;
  /** Share of the holes that the rule spares. */
  readonly holesSpared: Estimate;
  /** Share of the good finds that the rule leaves in the ground. */
  readonly goodsMissed: Estimate;
}

/**
 * Tells what a dig rule costs in holes: holes for one good find, holes spared, good finds missed, with intervals by site.
 *
 * `digs` is 1 where the rule says dig, a number a dug hole; `goodFinds` the good finds in that hole; `site` its site. Only holes
 * that were dug can be judged: what the rule would have dug among the signals passed by is not known. Throws RangeError when
 * lengths differ or an entry of `digs` is neither 0 nor 1.
 *
 * @example
 * ```ts
 * import { costOfRule, isPresent } from "overiron";
 * const rule = { digs: [1, 1, 0, 1], goodFinds: [1, 0, 0, 1], site: [0, 0, 1, 1] };
 * const cost = costOfRule("mine", rule);
 * if (!isPresent(cost.holesPerGoodFind) || cost.holesPerGoodFind.value !== 1.5) throw new Error("wrong");
 * ```
 */
export function costOfRule(
  name: string,
  rule: {
    readonly digs: ArrayLike<number>;
    readonly goodFinds: ArrayLike<number>;
    readonly site: ArrayLike<number>;
    readonly groups?: string;
  },
): RuleCost {
  const { goodFinds, site, groups = "sites" } = rule;
  const digs = Array.from(rule.digs);
  if (goodFinds.length !== digs.length || site.length !== digs.length) {
    throw new RangeError(
      `Cannot cost rule: need equal lengths, got ${digs.length}, ${goodFinds.length} and ${site.length}`,
    );
  }
  const bad = digs.find((dig) => dig !== 0 && dig !== 1);
  if (bad !== undefined) throw new RangeError(`Cannot cost rule: digs must be 0 or 1, got ${bad}`);
  const found = digs.map((dig, i) => dig * goodFinds[i]!);
  const missed = digs.map((dig, i) => (1 - dig) * goodFinds[i]!);
  const spared = digs.map((dig) => 1 - dig);
  const holes = digs.reduce<number>((sum, dig) => sum + dig, 0);
  const finds = found.reduce((sum, count) => sum + count, 0);
  const sites = new Set(Array.from(site)).size;
  // A rule that digs everything spares and misses nothing, on any site: nothing is estimated there.
  const digsAll = holes === digs.length;
  const perFind = finds === 0
    ? absent("none found", "The rule finds nothing good in these holes", {
      holes,
      goodFinds: 0,
      [groups]: sites,
    })
    : withCounts(ratioBySite(digs, found, site, { kind: "positive", unit: "holes", groups }), {
      holes,
      goodFinds: finds,
    });
  return {
    name,
    holes,
    goodFinds: finds,
    holesPerGoodFind: perFind,
    holesSpared: digsAll
      ? counted(0, { holes, [groups]: sites })
      : ratioBySite(spared, digs.map(() => 1), site, { kind: "share", unit: "holes", groups }),
    goodsMissed: digsAll && finds > 0
      ? counted(0, { "good finds": finds, [groups]: sites })
      : ratioBySite(missed, goodFinds, site, { kind: "share", unit: "holes with a good find", groups }),
  };
}

function withCounts(estimate: Estimate, counts: Readonly<Record<string, number>>): Estimate {
  return { ...estimate, n: { ...estimate.n, ...counts } };
}
