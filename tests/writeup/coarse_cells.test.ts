import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { loadDigLog } from "../../lib/log/mod.ts";
import { leakReport, publishData } from "../../lib/writeup/mod.ts";
import { coarseCell } from "../../lib/writeup/_coarse_cells.ts";
import { file } from "../log/_helpers.ts";
import { machines } from "./_small_write_up.ts";

// Three sites within four kilometres, one alone far off, one private among the three, one without a position.
const SITES: readonly (readonly [string, string, string, string])[] = [
  ["Marlpit", "47.65432", "-12.34567", ""],
  ["Brook", "47.66111", "-12.33333", ""],
  ["Ridge", "47.64444", "-12.35555", ""],
  ["Secret", "47.65555", "-12.34444", "yes"],
  ["Alone", "52.12345", "-10.98765", ""],
  ["Unplaced", "", "", ""],
];
const LOG = "signal_id,site,readings_right,readings_left,latitude,longitude,site_private\n" +
  SITES.flatMap(([site, latitude, longitude, closed], i) =>
    [0, 1].map((k) => `${i}-${k},${site},410,405,${latitude},${longitude},${closed}`)
  ).join("\n") + "\n";
const publish = async (coarseCellsKm?: number) => {
  const digLog = await loadDigLog(file(LOG), machines);
  const data = publishData({ digLog, machines }, {
    seed: 1,
    ...(coarseCellsKm === undefined ? {} : { coarseCellsKm }),
  });
  return { digLog, data };
};

describe("coarse cells", () => {
  test("without being asked, nothing shows where a site lies", async () => {
    const { data } = await publish();
    expect(data.files.map(({ name }) => name)).not.toContain("cells.csv");
    const text = data.files.map(({ text }) => text).join("\n");
    expect(text).not.toMatch(/cell_|47\.[56]|-12\.3|52\.1|-10\.9/);
    expect(data.listing.join("\n")).not.toContain("Where sites lie");
  });

  test("asked for, a cell shows its three sites or more, by letter; one site alone and a private one are held back", async () => {
    const { data, digLog } = await publish(40);
    const rows = data.files.find(({ name }) => name === "cells.csv")!.text.trim().split("\n").map((row) =>
      row.split(",")
    );
    expect(rows[0]).toEqual(["site", "cell_south_deg", "cell_north_deg", "cell_west_deg", "cell_east_deg"]);
    const letterOf = (site: string): string =>
      data.key.find(({ kind, was }) => kind === "site" && was === site)!.now;
    expect(rows.slice(1).map(([site]) => site)).toEqual(["Marlpit", "Brook", "Ridge"].map(letterOf).sort());
    for (const [, south, north, west, east] of rows.slice(1)) {
      expect(
        Number(south) <= 47.64 && Number(north) >= 47.66 && Number(west) <= -12.35 && Number(east) >= -12.33,
      ).toBe(true);
    }
    expect(data.listing).toContain(
      "Where sites lie, as you asked: 3 sites in 1 cells of 40 km or more; 1 sites held back, for their cell holds fewer than 3",
    );
    expect(data.files.map(({ text }) => text).join("\n")).not.toMatch(
      /47\.6[4-6]\d|12\.3[3-5]\d|52\.1|Secret/,
    );
    const { leaks } = leakReport({
      ...{ digLog, gardenLog: null, machines, data, title: "A season", command: "deno task season DIG-LOG" },
      ...{ roles: ["dig-log"], ownNotebooks: [] },
    });
    expect(leaks).toEqual([{ where: "data/cells.csv", what: "cells in which sites lie", found: "3 sites" }]);
    const resource = JSON.parse(data.files.find(({ name }) => name === "datapackage.json")!.text).resources
      .find(({ path }: { path: string }) => path === "cells.csv");
    expect(resource.schema.fields.map(({ name }: { name: string }) => name)).toEqual(rows[0]);
  });

  test("cells narrower than 10 km are refused", async () => {
    for (const km of [9.99, 0, -10, Number.NaN, Number.POSITIVE_INFINITY]) {
      await expect(publish(km)).rejects.toThrow(
        `Cannot publish cells: they must be 10 km wide or more, got ${km}`,
      );
    }
  });

  test("every place lies in its cell, and no side of it is shorter than asked, at any latitude", () => {
    // Great-circle distance by the haversine formula (Sinnott 1984, Sky and Telescope 68:159), mean radius 6371.0088 km.
    const km = (a: readonly [number, number], b: readonly [number, number]): number => {
      const [f1, l1, f2, l2] = [...a, ...b].map((degrees) => degrees * Math.PI / 180) as [
        number,
        number,
        number,
        number,
      ];
      const h = Math.sin((f2 - f1) / 2) ** 2 + Math.cos(f1) * Math.cos(f2) * Math.sin((l2 - l1) / 2) ** 2;
      return 2 * 6371.0088 * Math.asin(Math.min(1, Math.sqrt(h)));
    };
    fc.assert(
      fc.property(
        fc.double({ min: -90, max: 90, noNaN: true }),
        fc.double({ min: -180, max: 180, noNaN: true }),
        fc.double({ min: 10, max: 500, noNaN: true }),
        (latitude, longitude, width) => {
          const { south, north, west, east } = coarseCell(latitude, longitude, width);
          expect(south <= latitude + 1e-9 && latitude <= north + 1e-9).toBe(true);
          expect(west <= longitude + 1e-9 && longitude <= east + 1e-9).toBe(true);
          expect(km([south, west], [north, west])).toBeGreaterThan(width * (1 - 1e-9));
          // Along a circle of latitude: the chord is hardly shorter than the arc where a cell is narrow.
          if (east - west > 20) return;
          for (const edge of [south, north]) {
            expect(km([edge, west], [edge, east])).toBeGreaterThan(width * 0.98);
          }
        },
      ),
      { numRuns: 500 },
    );
  });
});
