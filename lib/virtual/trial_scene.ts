import { needFinite } from "./_check.ts";
import type { LogRow } from "./_log_row.ts";
import { METALS } from "./metals.ts";
import { reachCm, VIRTUAL_OBJECTS, type VirtualObject } from "./virtual_object.ts";

/** What a planned trial lays where, in cm, from its row of a garden log. */
export interface TrialScene {
  readonly target: VirtualObject | null;
  readonly neighbour: VirtualObject | null;
  readonly side: "left" | "right" | "both" | "over" | "under";
  readonly count: number;
  readonly gapCm: number;
  readonly depthCm: number;
  readonly heightDifferenceCm: number;
  readonly headingDeg: number;
  readonly tiltDeg: number;
}

const BY_KIND: Readonly<Record<string, VirtualObject>> = {
  nail: VIRTUAL_OBJECTS.mediumNail,
  sheet: VIRTUAL_OBJECTS.sheet,
  ring: { ...VIRTUAL_OBJECTS.cap, what: "iron ring" },
  cap: VIRTUAL_OBJECTS.cap,
  foil: VIRTUAL_OBJECTS.foil,
  slag: VIRTUAL_OBJECTS.slag,
  lead: VIRTUAL_OBJECTS.scrap,
  copper: { ...VIRTUAL_OBJECTS.disc, metal: METALS.copper },
  brass: VIRTUAL_OBJECTS.buckle,
};

const none = (name: string | undefined): boolean =>
  name === undefined || /^(?:|none|no|-)$/i.test(name.trim());

function named(trial: string, field: string, name: string, kind: string | undefined): VirtualObject {
  const known = Object.values(VIRTUAL_OBJECTS).find((object) => object.what === name.trim().toLowerCase());
  if (known) return known;
  const byKind = kind === undefined ? undefined : BY_KIND[kind.trim().toLowerCase()];
  const word = byKind ?? Object.entries(BY_KIND).find(([key]) => name.toLowerCase().includes(key))?.[1] ??
    (/disc|coin/i.test(name) ? VIRTUAL_OBJECTS.disc : /ball/i.test(name) ? VIRTUAL_OBJECTS.ball : undefined);
  if (word) return { ...word, what: name };
  throw new RangeError(
    `Cannot lay trial ${trial}: ${field} must be a known object (${
      Object.values(VIRTUAL_OBJECTS).map((object) => object.what).join(", ")
    }) or have a kind, got ${JSON.stringify(name)}`,
  );
}

/**
 * Reads a planned row of a garden log as a scene of known objects, and checks that it can be laid.
 *
 * Known are the demo objects by name (`VIRTUAL_OBJECTS`), and any neighbour by its `neighbour_kind`, with the sizes that the row gives. Defaults: depth 8 cm,
 * heading 90, tilt 0, side right, one neighbour, no height difference.
 *
 * Throws RangeError, naming the trial, for an unknown object, a number that cannot be, a gap or height that puts objects inside one another, or
 * a neighbour above the ground.
 *
 * @example
 * ```ts
 * import { trialScene } from "overiron";
 * const scene = trialScene({ trial_id: "T1", target: "copper disc", neighbour: "long nail", neighbour_kind: "nail", gap_cm: "3" });
 * if (scene.neighbour?.shape !== "rod" || scene.gapCm !== 3) throw new Error("wrong");
 * ```
 */
export function trialScene(row: LogRow): TrialScene {
  const trial = row.trial_id ?? "without an id";
  const number = (field: string, otherwise: number): number => {
    const text = row[field]?.trim() ?? "";
    const value = text === "" ? otherwise : Number(text);
    needFinite(`lay trial ${trial}`, { [field]: value });
    return value;
  };
  const sized = (object: VirtualObject, length: string, thickness: string | null): VirtualObject => {
    const lengthMm = number(length, object.lengthMm);
    const thicknessMm = thickness === null || object.shape === "ball"
      ? object.thicknessMm
      : number(thickness, object.thicknessMm);
    return { ...object, lengthMm, thicknessMm: object.shape === "ball" ? lengthMm : thicknessMm };
  };
  const target = none(row.target)
    ? null
    : sized(named(trial, "target", row.target!, undefined), "target_size_mm", null);
  const neighbour = none(row.neighbour) ? null : sized(
    named(trial, "neighbour", row.neighbour!, row.neighbour_kind),
    "neighbour_length_mm",
    "neighbour_thickness_mm",
  );
  const side = (row.side || "right") as TrialScene["side"];
  if (!["left", "right", "both", "over", "under"].includes(side)) {
    throw new RangeError(
      `Cannot lay trial ${trial}: side must be left, right, both, over or under, got ${JSON.stringify(side)}`,
    );
  }
  const scene: TrialScene = {
    target,
    neighbour,
    side,
    count: number("neighbour_count", side === "both" ? 2 : 1),
    gapCm: number("gap_cm", 0),
    depthCm: number("depth_cm", 8),
    heightDifferenceCm: number("height_difference_cm", 0),
    headingDeg: number("neighbour_heading_deg", 90),
    tiltDeg: number("neighbour_tilt_deg", 0),
  };
  if (scene.gapCm < 0) {
    throw new RangeError(
      `Cannot lay trial ${trial}: gap_cm must be 0 or above (objects would lie inside one another), got ${scene.gapCm}`,
    );
  }
  if (!Number.isSafeInteger(scene.count) || scene.count < 1) {
    throw new RangeError(
      `Cannot lay trial ${trial}: neighbour_count must be a whole number of 1 or above, got ${scene.count}`,
    );
  }
  if (!(scene.depthCm >= 0)) {
    throw new RangeError(`Cannot lay trial ${trial}: depth_cm must be 0 or above, got ${scene.depthCm}`);
  }
  if (target && neighbour) {
    const up = scene.heightDifferenceCm;
    if (up > scene.depthCm) {
      throw new RangeError(
        `Cannot lay trial ${trial}: height_difference_cm must leave the neighbour in the ground, got ${up}`,
      );
    }
    if (side === "over" || side === "under") {
      const need = (target.shape === "disc" ? target.thicknessMm : target.lengthMm) / 20 +
        neighbour.thicknessMm / 20;
      if (Math.abs(up) < need || (side === "over") !== (up > 0)) {
        throw new RangeError(
          `Cannot lay trial ${trial}: height_difference_cm must be ${
            side === "over" ? "" : "-"
          }${need} or farther for ${side}, got ${up}`,
        );
      }
    }
  }
  return scene;
}

/**
 * Gives how far a neighbour's middle lies from the target's, in plan (cm), for a gap from edge to edge; 0 where one of them is missing or the neighbour lies over or under.
 *
 * @example
 * ```ts
 * import { centreDistanceCm, trialScene } from "overiron";
 * const scene = trialScene({ target: "copper disc", neighbour: "medium nail", gap_cm: "3" });
 * if (Math.abs(centreDistanceCm(scene) - (3 + 1.2 + 0.25)) > 1e-12) throw new Error("wrong");
 * ```
 */
export const centreDistanceCm = (scene: TrialScene, gapCm = scene.gapCm): number =>
  scene.target === null || scene.neighbour === null || scene.side === "over" || scene.side === "under"
    ? 0
    : gapCm + reachCm(scene.target) + reachCm(scene.neighbour, scene.headingDeg, scene.tiltDeg);
