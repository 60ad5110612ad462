import { describe, expect, test } from "vitest";
import { mappedField } from "../../lib/log/mapping.ts";
import { guessHeading, readingsHeading } from "../../lib/log/mapping_headings.ts";

describe("readingsHeading()", () => {
  const pairs: [string, string, number | null][] = [
    ["L to R", "readings_right", null],
    ["left to right", "readings_right", null],
    ["R->L", "readings_left", null],
    ["Reading right", "readings_right", null],
    ["ID L", "readings_left", null],
    ["pass1", "readings", 1],
    ["Pass 12", "readings", 12],
    ["r3", "readings_right", 3],
    ["Werte hin 2", "readings_right", 2],
    ["Lectures retour", "readings_left", null],
    ["Valores cruz", "readings_cross", null],
    ["silent right", "silent_right", null],
    ["stumm links", "silent_left", null],
    ["passes made left", "passes_left", null],
    ["Target ID", "readings", null],
  ];
  test.each(pairs)("%s is %s, pass %s", (heading, field, pass) => {
    expect(readingsHeading(heading)).toMatchObject({ field, pass });
  });
  test.each(["Depth", "Right of way", "signal depth", "2", "", "Date 1", "silent"])(
    "%s is none",
    (heading) => {
      expect(readingsHeading(heading)).toBe(null);
    },
  );
});

describe("guessHeading()", () => {
  const first = (heading: string, table: "signals" | "trials" = "signals") =>
    guessHeading(heading, table)[0]?.field;
  test("knows plain words of several languages, whatever their case, accents and joiners", () => {
    expect(first("Fundort")).toBe("site");
    expect(first("D\u00c9TECTEUR")).toBe("machine");
    expect(first("vind_plaats")).not.toBe("machine");
    expect(first("Bemerkungen:")).toBe("notes");
    expect(first("Dug?")).toBe("dug");
    expect(first("Profundidad real (cm)")).toBe("depth_cm");
    expect(first("find 2")).toBe("what_2");
    expect(first("Abstand", "trials")).toBe("gap_cm");
    expect(first("Nagel", "trials")).toBe("neighbour");
  });
  test("gives every meaning of a word that has two, with the same score", () => {
    const depth = guessHeading("Depth", "signals");
    expect(depth.slice(0, 2).map((each) => each.field)).toEqual(["depth_cm", "depth_indicated"]);
    expect(depth[0]!.score).toBe(depth[1]!.score);
  });
  test("is less sure of a part of a heading or of its spelling", () => {
    expect(guessHeading("weather notes", "signals")[0]).toMatchObject({ field: "notes", score: 0.55 });
    expect(guessHeading("Observerr", "signals")[0]).toMatchObject({ field: "observer", score: 0.5 });
    expect(guessHeading("zebra", "signals")).toEqual([]);
  });
  test("names only fields that the table has", () => {
    for (
      const heading of [
        "Nr",
        "Date",
        "Depth",
        "ID",
        "Fund",
        "iron",
        "distance",
        "a",
        "__proto__",
        "constructor",
      ]
    ) {
      for (const table of ["signals", "outings", "finds", "trials"] as const) {
        for (const { field } of guessHeading(heading, table)) {
          const special = ["readings", "iron_distance"].includes(field);
          expect(special || mappedField(table, field) !== null, `${table}: ${field}`).toBe(true);
        }
      }
    }
  });
});
