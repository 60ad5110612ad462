import { type DragCurve, type GardenDrift, localDrift } from "../garden/mod.ts";
import { counted, isPresent } from "../numbers/mod.ts";
import { inReadingOrder, neighbourLabel, pairLabel, resultOf } from "./_garden_labels.ts";
import { sayPieces } from "./_say_pieces.ts";
import { say, show, type Shown, stated } from "./show.ts";

/** The pair of a machine that reaches furthest: the widest half gap, or none. */
function furthest(curves: readonly DragCurve[]): DragCurve | null {
  let best: DragCurve | null = null;
  for (const curve of curves) {
    if (!isPresent(curve.halfGapCm)) continue;
    if (best === null || !isPresent(best.halfGapCm) || curve.halfGapCm.value > best.halfGapCm.value) {
      best = curve;
    }
  }
  return best;
}

function machineAnswer(drift: GardenDrift, machine: string, curves: readonly DragCurve[]): Shown {
  const best = furthest(curves);
  const count = (answer: string, has: (curve: DragCurve) => boolean) => {
    const n = curves.filter(has).length;
    return stated("garden.pairs", { machine, answer }, counted(n, { pairs: curves.length }), {
      form: "value",
    });
  };
  const word = (curve: DragCurve): string =>
    "absent" in curve.halfGapCm ? curve.halfGapCm.absent : "half gap";
  const answers = [
    ["half gap", "half gap found for "],
    ["never", "never half way, even when touching, for "],
    ["cannot tell yet", "cannot tell yet for "],
  ] as const;
  const parts = answers.filter(([answer]) => curves.some((curve) => word(curve) === answer))
    .flatMap((
      [answer, words],
      i,
    ) => [i === 0 ? "" : "; ", words, count(answer, (curve) => word(curve) === answer)]);
  const tally = sayPieces([
    "Of the ",
    count("all", () => true),
    ` pairs laid on ${machine}: `,
    ...parts,
    ".",
  ]);
  if (best === null) {
    // The pair with most trials says best what is missing; all stand in the table of half gaps.
    const open = curves.filter((curve) => word(curve) === "cannot tell yet")
      .sort((a, b) => b.pair.trials - a.pair.trials)[0];
    return show(
      say`**On ${machine} no pair of objects has a half gap that these trials can show.**`,
      tally,
      ...(open !== undefined && "absent" in open.halfGapCm
        ? [say`${pairLabel(open.pair)}: ${open.halfGapCm.reason}.`]
        : []),
    );
  }
  const of = resultOf(best), closest = best.gaps[0]!.gap_cm;
  const near = localDrift(drift, best)[0]!.drift;
  const at = stated("garden.closestGapCm", of, counted(closest, { trials: best.n.trials ?? 0 }), {
    form: "value",
    decimals: Number.isInteger(closest) ? 0 : 1,
  });
  return show(
    say`**On ${machine}, the ${
      neighbourLabel(best.pair)
    } drags the ${best.pair.target} half way to its own reading at a gap of ${
      stated("garden.halfGapCm", of, best.halfGapCm, { decimals: 1 })
    }**: the furthest of all pairs there. At the closest gap laid, ${at}, the drift is ${
      stated("garden.driftAtGap", { ...of, gap_cm: String(closest) }, near, {
        form: "interval",
        decimals: 0,
      })
    }.`,
    tally,
  );
}

/**
 * Answers in a few sentences, a machine at a time: which neighbour reaches furthest, how far it drags a reading, and how many pairs have a half gap,
 * never have one, or cannot be told yet. What a reader must know of the log stands below.
 *
 * @example
 * ```ts
 * import { driftOfTrials, gardenAnswer } from "overiron";
 * const shown = gardenAnswer(driftOfTrials({ machines: [], settings: [], trials: [] }), []);
 * if (!shown.text.includes("no trial")) throw new Error(shown.text);
 * ```
 */
export function gardenAnswer(drift: GardenDrift, curves: readonly DragCurve[]): Shown {
  if (curves.length === 0) {
    return say`**The garden log has no trial of a target beside a neighbour yet.** Lay both at four gaps or more, each with the target alone and the neighbour alone in the same block.`;
  }
  const ordered = inReadingOrder(curves);
  const machines = [...new Set(ordered.map((curve) => curve.pair.machine))];
  return show(
    ...machines.map((machine) =>
      machineAnswer(drift, machine, ordered.filter((curve) => curve.pair.machine === machine))
    ),
    ...drift.notes.map((note) => say`Note: ${note}.`),
  );
}
