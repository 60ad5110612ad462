import { describe, expect, test } from "vitest";
import { FileFault } from "../../lib/log/mod.ts";
import { GEOJSON_NOTES, readGeoJson } from "../../lib/log/read_geojson.ts";
import { bytesOf, faultOf } from "./_helpers.ts";

const read = (value: unknown) =>
  readGeoJson(bytesOf(typeof value === "string" ? value : JSON.stringify(value)), { file: "log.geojson" });
const point = { type: "Point", coordinates: [102.0, 0.5] };
const named = (name: string) => ({ type: "name", properties: { name } });
const WGS_84 =
  "positions must be in degrees of WGS 84, longitude first: write the file again in that system (EPSG:4326); a crs member must name it or be left out";
const NOT_A_POINT = "a signal's geometry must be a Point or null";

// RFC 7946, section 1.5: the example of a FeatureCollection.
const SECTION_1_5 = `{
       "type": "FeatureCollection",
       "features": [{
           "type": "Feature",
           "geometry": { "type": "Point", "coordinates": [102.0, 0.5] },
           "properties": { "prop0": "value0" }
       }, {
           "type": "Feature",
           "geometry": {
               "type": "LineString",
               "coordinates": [ [102.0, 0.0], [103.0, 1.0], [104.0, 0.0], [105.0, 1.0] ]
           },
           "properties": { "prop0": "value0", "prop1": 0.0 }
       }, {
           "type": "Feature",
           "geometry": {
               "type": "Polygon",
               "coordinates": [ [ [100.0, 0.0], [101.0, 0.0], [101.0, 1.0], [100.0, 1.0], [100.0, 0.0] ] ]
           },
           "properties": { "prop0": "value0", "prop1": { "this": "that" } }
       }]
   }`;

describe("readGeoJson() reads the examples of RFC 7946", () => {
  test("section 1.5: the Point is a row, the others are faulty rows, whole", () => {
    const table = read(SECTION_1_5);
    expect(table.headings).toEqual(["latitude", "longitude", "prop0", "prop1", "prop1.this"]);
    expect([0, 1, 2].map((row) => table.fault(row))).toEqual([null, NOT_A_POINT, NOT_A_POINT]);
    expect([0, 1, 2].map((row) => [0, 1, 2, 3, 4].map((column) => table.cell(row, column)))).toEqual([
      ["0.5", "102.0", "value0", "", ""],
      ["", "", "value0", "0.0", ""],
      ["", "", "value0", "", "that"],
    ]);
    expect([0, 1, 2].map((row) => table.place(row, 0).line)).toEqual([3, 7, 14]);
  });

  // RFC 7946, appendix A.1 to A.7: one example of each geometry.
  test.each([
    ["A.1", '{"type": "Point", "coordinates": [100.0, 0.0]}', null],
    ["A.2", '{"type": "LineString", "coordinates": [[100.0, 0.0], [101.0, 1.0]]}', NOT_A_POINT],
    [
      "A.3",
      '{"type": "Polygon", "coordinates": [[[100.0, 0.0], [101.0, 0.0], [101.0, 1.0], [100.0, 1.0], [100.0, 0.0]]]}',
      NOT_A_POINT,
    ],
    ["A.4", '{"type": "MultiPoint", "coordinates": [[100.0, 0.0], [101.0, 1.0]]}', NOT_A_POINT],
    [
      "A.5",
      '{"type": "MultiLineString", "coordinates": [[[100.0, 0.0], [101.0, 1.0]], [[102.0, 2.0], [103.0, 3.0]]]}',
      NOT_A_POINT,
    ],
    [
      "A.6",
      '{"type": "MultiPolygon", "coordinates": [[[[102.0, 2.0], [103.0, 2.0], [103.0, 3.0], [102.0, 3.0], [102.0, 2.0]]]]}',
      NOT_A_POINT,
    ],
    [
      "A.7",
      '{"type": "GeometryCollection", "geometries": [{"type": "Point", "coordinates": [100.0, 0.0]}]}',
      NOT_A_POINT,
    ],
  ])("appendix %s", (_, text, fault) => {
    const bare = read(text);
    expect([bare.rowCount, bare.fault(0)]).toEqual([1, fault]);
    if (fault === null) {
      expect([bare.headings, bare.cell(0, 0), bare.cell(0, 1)]).toEqual([
        ["latitude", "longitude"],
        "0.0",
        "100.0",
      ]);
    }
    const feature = read(`{"type": "Feature", "geometry": ${text}, "properties": {"a": 1}}`);
    expect(feature.fault(0)).toBe(fault);
  });
});

describe("readGeoJson()", () => {
  test("reads id, altitude and features without a geometry, and notes foreign members", () => {
    const table = read({
      type: "FeatureCollection",
      features: [
        {
          type: "Feature",
          id: 7,
          geometry: { type: "Point", coordinates: [1, 2, 30.5] },
          properties: { a: "x" },
        },
        { type: "Feature", geometry: null, properties: { a: "y" }, colour: "red" },
        { type: "Feature", geometry: null, properties: null },
      ],
    });
    expect(table.headings).toEqual(["latitude", "longitude", "elevation", "id", "a"]);
    expect([0, 1, 2].map((row) => [table.fault(row), table.cell(row, 3), table.cell(row, 4)])).toEqual([
      [null, "7", "x"],
      [null, "", "y"],
      [null, "", ""],
    ]);
    expect(table.notes?.map(({ text }) => text)).toEqual([
      "The third number of a position was read as a column elevation",
      "What stands in a feature beside its properties was passed over",
    ]);
  });

  test("makes a feature faulty that is none, or says one thing twice and differently", () => {
    const table = read({
      type: "FeatureCollection",
      features: [
        { type: "Feature", geometry: point, properties: { latitude: 0.5 } },
        { type: "Feature", geometry: point, properties: { latitude: 7 } },
        { type: "Feature", properties: { a: 1 } },
        { type: "Feature", geometry: point },
        { type: "Feature", geometry: { type: "Point", coordinates: ["1", 2] }, properties: {} },
        { type: "Point", coordinates: [1, 2] },
        5,
        { type: "Feature", id: [1], geometry: point, properties: {} },
      ],
    });
    expect(Array.from({ length: 8 }, (_, row) => table.fault(row))).toEqual([
      null,
      "no two values of a row may have one heading unless they are equal",
      "a Feature must have a geometry, an object or null",
      "a Feature must have properties, an object or null",
      "a position must be a list of two numbers or more: longitude, latitude",
      "an item of features must be a Feature",
      "an item of features must be a Feature",
      "the id of a Feature must be a text or a number",
    ]);
    // None of them may pass for a blank row.
    for (let row = 0; row < 8; row++) {
      expect(table.headings.some((_, column) => table.cell(row, column) !== "")).toBe(true);
    }
  });

  test.each([
    [{ a: 1 }, "GeoJSON must have a type, got none on line 1"],
    [{ type: "Topology" }, 'type must be one of RFC 7946, got "Topology" on line 1'],
    [{ type: "FeatureCollection" }, "a FeatureCollection must have a list of features, got none on line 1"],
    [{ type: "FeatureCollection", features: [] }, "it must have a feature, got none on line 1"],
    [
      {
        type: "Feature",
        crs: { type: "name", properties: { name: "EPSG:27700" } },
        geometry: point,
        properties: {},
      },
      `${WGS_84}, got "EPSG:27700" on line 1`,
    ],
    [
      {
        type: "FeatureCollection",
        crs: null,
        features: [{ type: "Feature", geometry: point, properties: {} }],
      },
      `${WGS_84}, got null, which says that nothing is known on line 1`,
    ],
    [
      {
        type: "FeatureCollection",
        crs: { type: "link", properties: { href: "http://example.com/crs/42", type: "proj4" } },
        features: [{ type: "Feature", geometry: point, properties: {} }],
      },
      `${WGS_84}, got one without a name on line 1`,
    ],
    [
      {
        type: "FeatureCollection",
        features: [{ type: "Feature", geometry: point, properties: {}, crs: named("not CRS84 at all") }],
      },
      `${WGS_84}, got "not CRS84 at all" on line 1`,
    ],
    [
      { type: "Feature", geometry: null, properties: null },
      "a feature must have a position or a property, got none on line 1",
    ],
  ])("refuses %j", async (value, message) => {
    const fault = await faultOf(() => read(value));
    expect(fault).toBeInstanceOf(FileFault);
    expect(fault.message).toBe(`Cannot read log.geojson: ${message}`);
  });
});

// RFC 7946, section 4, calls the one system that it has "urn:ogc:def:crs:OGC::CRS84". The crs member is of the older
// GeoJSON (2008), whose section 3.1 gives "urn:ogc:def:crs:OGC:1.3:CRS84" and "EPSG:4326" as examples (from memory).
describe("readGeoJson() takes a crs member that names WGS 84 in degrees, and says so", () => {
  test.each([
    ["urn:ogc:def:crs:OGC:1.3:CRS84", GEOJSON_NOTES.crs84],
    ["urn:ogc:def:crs:OGC::CRS84", GEOJSON_NOTES.crs84],
    ["OGC:CRS84", GEOJSON_NOTES.crs84],
    ["EPSG:4326", GEOJSON_NOTES.epsg4326],
    ["urn:ogc:def:crs:EPSG::4326", GEOJSON_NOTES.epsg4326],
  ])("%s", (name, text) => {
    const table = read({
      type: "FeatureCollection",
      crs: named(name),
      features: [{ type: "Feature", geometry: point, properties: {} }],
    });
    expect([table.cell(0, 0), table.cell(0, 1)]).toEqual(["0.5", "102"]);
    expect(table.notes).toEqual([{ text, count: 1, first: { line: 1, value: "" } }]);
  });
});
