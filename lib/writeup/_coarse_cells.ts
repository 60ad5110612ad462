import { csvText, type Signal } from "../log/mod.ts";

/** The smallest cell that may be published, in kilometres, and the fewest sites that a published cell holds. */
export const LEAST_CELL_KM = 10;
export const FEWEST_SITES = 3;

/** Length of a degree of a great circle, from the mean radius of the Earth, 6371.0088 km (Moritz 2000, J. Geod. 74:128). */
const KM_A_DEGREE = 6371.0088 * Math.PI / 180;

/** A cell of a fixed grid over the Earth, by its edges in degrees. */
export interface CoarseCell {
  readonly south: number;
  readonly north: number;
  readonly west: number;
  readonly east: number;
}

/**
 * Gives the cell in which a place lies: rows of one height, columns of one width a row, no side shorter than `km` anywhere in
 * the cell. The grid does not depend on the places.
 */
export function coarseCell(latitude: number, longitude: number, km: number): CoarseCell {
  const rows = Math.max(1, Math.floor(180 * KM_A_DEGREE / km)), height = 180 / rows;
  const row = Math.min(rows - 1, Math.floor((latitude + 90) / height));
  const south = row * height - 90, north = south + height;
  // A row is narrowest at its edge nearer to a pole.
  const narrowest = Math.cos(Math.max(Math.abs(south), Math.abs(north)) * Math.PI / 180);
  const columns = Math.max(1, Math.floor(360 * KM_A_DEGREE * narrowest / km)), width = 360 / columns;
  const column = Math.min(columns - 1, Math.floor((longitude + 180) / width));
  const west = column * width - 180;
  return { south, north, west, east: west + width };
}

/** A table of sites by cell, as text, and how many sites and cells it shows. */
export interface CoarseCells {
  readonly text: string;
  readonly cells: number;
  readonly sites: number;
  /** Sites with coordinates whose cell holds fewer sites than may be shown. */
  readonly heldBack: number;
}

/**
 * Makes the table of coarse cells: a row a site, with the cell of the middle of its signals (medians of latitude and longitude). A cell with
 * fewer than three sites is held back, sites without coordinates have no row. `nameOf` gives a site's published name.
 */
export function coarseCells(
  signals: readonly Signal[],
  { km, nameOf }: { readonly km: number; readonly nameOf: (site: string) => string },
): CoarseCells {
  if (!Number.isFinite(km) || km < LEAST_CELL_KM) {
    throw new RangeError(`Cannot publish cells: they must be ${LEAST_CELL_KM} km wide or more, got ${km}`);
  }
  const places = new Map<string, { latitude: number; longitude: number }[]>();
  for (const { site, kept_private: own } of signals) {
    if (own === undefined || own.latitude === null || own.longitude === null) continue;
    const here = places.get(site) ?? [];
    here.push({ latitude: own.latitude, longitude: own.longitude });
    places.set(site, here);
  }
  const byCell = new Map<string, string[]>();
  for (const [site, here] of places) {
    const cell = coarseCell(
      middle(here.map((each) => each.latitude)),
      middle(here.map((each) => each.longitude)),
      km,
    );
    const edges = [cell.south, cell.north, cell.west, cell.east].map((degrees) => degrees.toFixed(2)).join();
    byCell.set(edges, [...byCell.get(edges) ?? [], nameOf(site)]);
  }
  const shown = [...byCell].filter(([, sites]) => sites.length >= FEWEST_SITES);
  const rows = shown.flatMap(([edges, sites]) => sites.map((site) => [site, ...edges.split(",").map(Number)]))
    .sort(([a], [b]) => String(a) < String(b) ? -1 : 1);
  return {
    text: csvText([["site", "cell_south_deg", "cell_north_deg", "cell_west_deg", "cell_east_deg"], ...rows]),
    cells: shown.length,
    sites: rows.length,
    heldBack: places.size - rows.length,
  };
}

/** The lower middle one: one far-off slip of the pen does not move it. */
const middle = (values: readonly number[]): number =>
  values.toSorted((a, b) => a - b)[Math.floor((values.length - 1) / 2)]!;

/** The table's schema for its data package. */
export const CELLS_SCHEMA = {
  fields: [
    { name: "site", type: "string", description: "The site's letter." },
    ...["south", "north", "west", "east"].map((edge) => ({
      name: `cell_${edge}_deg`,
      type: "number",
      description:
        `The ${edge} edge of the cell in which the site lies, in degrees of WGS 84, to two decimals.`,
    })),
  ],
  primaryKey: ["site"],
};
