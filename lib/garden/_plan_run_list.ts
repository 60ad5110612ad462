import { chance } from "../numbers/mod.ts";
import type {
  PlanGardenOptions,
  PlannedNeighbour,
  PlannedSpot,
  PlannedTarget,
  PlannedTrial,
} from "./plan_garden.ts";

/** The trials in the order in which they are run: blocks one after another, each in a random order of its own. */
export function runList(
  options: PlanGardenOptions,
  at: {
    readonly blocks: number;
    readonly each: number;
    readonly gapsCm: readonly number[];
    readonly spots: readonly PlannedSpot[];
    readonly coilHeightCm: number;
    readonly depthCm: number;
    readonly blind: boolean;
    readonly seed: number;
  },
): readonly PlannedTrial[] {
  const { targets, neighbours, settings, firstBlock = 1, firstTrial = 1 } = options;
  const draw = chance(at.seed, "garden/plan");
  const decks = new Map<string, number[]>();
  const deal = (key: string, gaps: readonly number[]): number => {
    const deck = decks.get(key) ?? [];
    if (deck.length === 0) deck.push(...draw.shuffle([...new Set(gaps)]));
    decks.set(key, deck);
    return deck.pop()!;
  };
  const trials: PlannedTrial[] = [];
  for (let b = 0; b < at.blocks; b++) {
    const spot = at.spots[b % at.spots.length]!.spot;
    const lay = (
      target: PlannedTarget | null,
      neighbour: PlannedNeighbour | null,
      gap: number | null,
    ): PlannedTrial => ({
      block: `B${String(b + firstBlock).padStart(2, "0")}`,
      settings,
      spot,
      medium: at.depthCm === 0 ? "on-surface" : "fresh-hole",
      target: target?.name ?? "none",
      target_size_mm: target === null ? "" : String(target.sizeMm),
      depth_cm: String(at.depthCm),
      coil_height_cm: String(at.coilHeightCm),
      neighbour: neighbour?.name ?? "none",
      neighbour_kind: neighbour?.kind ?? "",
      neighbour_length_mm: neighbour === null ? "" : String(neighbour.lengthMm),
      neighbour_thickness_mm: neighbour === null ? "" : String(neighbour.thicknessMm),
      neighbour_count: neighbour === null ? "" : "1",
      side: gap === null ? "" : draw.integer(2) === 0 ? "left" : "right",
      neighbour_heading_deg: neighbour === null ? "" : String(neighbour.headingDeg ?? 90),
      neighbour_tilt_deg: neighbour === null ? "" : String(neighbour.tiltDeg ?? 0),
      gap_cm: gap === null ? "" : String(gap),
      height_difference_cm: gap === null ? "" : "0",
      readings_right: "",
      readings_left: "",
      blind: at.blind ? "yes" : "no",
      notes: "",
    });
    const block = [
      ...targets.map((target) => lay(target, null, null)),
      ...neighbours.map((neighbour) => lay(null, neighbour, null)),
      ...targets.flatMap((target) =>
        neighbours.flatMap((neighbour) =>
          Array.from(
            { length: at.each },
            () =>
              lay(target, neighbour, deal(`${target.name} ${neighbour.name}`, neighbour.gapsCm ?? at.gapsCm)),
          )
        )
      ),
    ];
    draw.shuffle(block).forEach((trial, i) =>
      trials.push({
        trial_id: `T${String(trials.length + firstTrial).padStart(3, "0")}`,
        ...trial,
        run_order: String(i + 1),
      })
    );
  }
  return trials;
}
