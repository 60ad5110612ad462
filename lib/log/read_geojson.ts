import { FileFault } from "./file_fault.ts";
import type { JsonNode } from "./_json_text.ts";
import { ObjectRows, plainText } from "./_object_rows.ts";
import { jsonOfFile } from "./read_json.ts";
import { type ReadOptions, refuseEqualHeadings, type Table, TableNotes, tableOfRows } from "./table.ts";

const GEOMETRIES = [
  "Point",
  "MultiPoint",
  "LineString",
  "MultiLineString",
  "Polygon",
  "MultiPolygon",
  "GeometryCollection",
];
const NOT_A_POINT = "a signal's geometry must be a Point or null";
const FEATURE = new Set(["type", "id", "geometry", "properties", "bbox", "crs"]);

export const GEOJSON_NOTES = {
  crs84: "The file names its coordinate system (CRS84), which is the one that GeoJSON has without a word",
  epsg4326:
    "The file names its coordinate system as EPSG:4326: positions were read longitude first, as GeoJSON has them",
  foreign: "What stands in a feature beside its properties was passed over",
  altitude: "The third number of a position was read as a column elevation",
} as const;

const member = (node: JsonNode, name: string): JsonNode | undefined =>
  node.kind === "object" ? node.members.find(([key]) => key === name)?.[1] : undefined;
const typeOf = (node: JsonNode): string | null => {
  const type = member(node, "type");
  return type?.kind === "string" ? type.text : null;
};
const isNull = (node: JsonNode): boolean => node.kind === "literal" && node.text === "null";

/** Names of WGS 84 in degrees, as writers of the older GeoJSON (2008) and of OGC's own put them into a crs member. */
const CRS84 =
  /^(?:urn:ogc:def:crs:OGC:(?:1\.3|2|):CRS84|OGC:CRS84|https?:\/\/www\.opengis\.net\/def\/crs\/OGC\/(?:1\.3|0)\/CRS84)$/i;
const EPSG_4326 =
  /^(?:urn:ogc:def:crs:EPSG:[\d.]*:4326|EPSG:4326|https?:\/\/www\.opengis\.net\/def\/crs\/EPSG\/0\/4326)$/i;

/** Which note a crs member asks for, or the words for one that may mean other positions. */
function coordinateSystem(crs: JsonNode): { readonly note: string } | { readonly other: string } {
  if (isNull(crs)) return { other: "null, which says that nothing is known" };
  const named = member(crs, "properties");
  const name = named === undefined ? undefined : member(named, "name");
  if (typeOf(crs) !== "name" || name?.kind !== "string") return { other: "one without a name" };
  if (CRS84.test(name.text)) return { note: GEOJSON_NOTES.crs84 };
  if (EPSG_4326.test(name.text)) return { note: GEOJSON_NOTES.epsg4326 };
  return { other: JSON.stringify(name.text.length > 60 ? `${name.text.slice(0, 57)}...` : name.text) };
}

/** The columns of a Point's position, or the rule that it breaks. */
function position(geometry: JsonNode, notes: TableNotes): [string, string][] | string {
  const coordinates = member(geometry, "coordinates");
  if (
    coordinates?.kind !== "array" || coordinates.items.length < 2 ||
    !coordinates.items.every(({ kind }) => kind === "number")
  ) return "a position must be a list of two numbers or more: longitude, latitude";
  const [longitude, latitude, altitude] = coordinates.items.map(plainText);
  const cells: [string, string][] = [["latitude", latitude!], ["longitude", longitude!]];
  if (altitude !== undefined) {
    notes.add(GEOJSON_NOTES.altitude, coordinates.line, altitude);
    cells.push(["elevation", altitude]);
  }
  return cells;
}

/**
 * Reads a GeoJSON file (RFC 7946) into a table: a row a feature, its properties as columns, beside them latitude,
 * longitude and id where it has them. Positions are longitude first, in degrees of WGS 84, as the standard says.
 *
 * A feature with another geometry than a Point is a faulty row; one without a geometry has no position. A property that
 * says another thing than the geometry under the same heading makes its row faulty.
 *
 * Throws FileFault for text that is not JSON, is no GeoJSON, names another coordinate system than WGS 84 in
 * degrees (RFC 7946, section 4, has no other; the crs member of the older GeoJSON may name that one), has two equal headings, or goes beyond a limit.
 *
 * @example
 * ```ts
 * import { readGeoJson } from "../log/read_geojson.ts";
 * const text = '{"type":"Feature","geometry":{"type":"Point","coordinates":[102.0,0.5]},"properties":{"prop0":"value0"}}';
 * const table = readGeoJson(new TextEncoder().encode(text), { file: "log.geojson" });
 * if (table.headings.join() !== "latitude,longitude,prop0" || table.cell(0, 0) !== "0.5") throw new Error("wrong");
 * ```
 */
export function readGeoJson(bytes: Uint8Array, options: ReadOptions): Table {
  const { file, maxCells = 20_000_000 } = options;
  const notes = new TableNotes();
  const top = jsonOfFile(bytes, options, notes);
  const refuse = (rule: string, got: string, line: number): never => {
    throw new FileFault(`Cannot read ${file}: ${rule}, got ${got} on line ${line}`, { file, line });
  };
  const type = typeOf(top);
  if (type === null) refuse("GeoJSON must have a type", "none", top.line);
  const checkSystem = (node: JsonNode | undefined): void => {
    const crs = node === undefined ? undefined : member(node, "crs");
    if (crs === undefined) return;
    const system = coordinateSystem(crs);
    if ("other" in system) {
      refuse(
        "positions must be in degrees of WGS 84, longitude first: write the file again in that system (EPSG:4326); a crs member must name it or be left out",
        system.other,
        crs.line,
      );
    } else notes.add(system.note, crs.line, "");
  };
  checkSystem(top);
  let features: readonly JsonNode[];
  if (type === "FeatureCollection") {
    const list = member(top, "features");
    if (list?.kind !== "array") {
      return refuse("a FeatureCollection must have a list of features", "none", top.line);
    }
    features = list.items;
  } else if (type === "Feature" || GEOMETRIES.includes(type!)) features = [top];
  else return refuse("type must be one of RFC 7946", JSON.stringify(type), top.line);
  if (features.length === 0) refuse("it must have a feature", "none", top.line);

  const rows = new ObjectRows(file, maxCells, notes);
  for (const feature of features) {
    const kind = typeOf(feature);
    if (feature !== top) checkSystem(feature);
    checkSystem(member(feature, "geometry"));
    if (kind !== null && GEOMETRIES.includes(kind) && feature === top) {
      const cells = kind === "Point" ? position(feature, notes) : NOT_A_POINT;
      addRow(
        rows,
        null,
        typeof cells === "string" ? [["type", kind]] : cells,
        feature.line,
        typeof cells === "string" ? cells : null,
      );
      continue;
    }
    const geometry = member(feature, "geometry"), properties = member(feature, "properties");
    let fault: string | null = null;
    let beside: [string, string][] = [];
    if (kind !== "Feature") fault = "an item of features must be a Feature";
    else if (properties === undefined || !(properties.kind === "object" || isNull(properties))) {
      fault = "a Feature must have properties, an object or null";
    } else if (geometry === undefined) fault = "a Feature must have a geometry, an object or null";
    else if (!isNull(geometry)) {
      if (typeOf(geometry) !== "Point") fault = NOT_A_POINT;
      else {
        const cells = position(geometry, notes);
        if (typeof cells === "string") fault = cells;
        else beside = cells;
      }
    }
    const id = member(feature, "id");
    if (id !== undefined) {
      if (id.kind === "string" || id.kind === "number") beside.push(["id", id.text]);
      else fault ??= "the id of a Feature must be a text or a number";
    }
    if (feature.kind === "object") {
      for (const [name, node] of feature.members) {
        if (!FEATURE.has(name)) notes.add(GEOJSON_NOTES.foreign, node.line, name);
      }
    }
    if (
      fault !== null && beside.length === 0 &&
      (properties?.kind !== "object" || properties.members.length === 0)
    ) {
      // A faulty row must not look like a blank one.
      beside = [["type", (geometry === undefined ? null : typeOf(geometry)) ?? kind ?? "none"]];
    }
    addRow(rows, properties ?? null, beside, feature.line, fault);
  }
  const { headings } = rows;
  if (headings.length === 0) refuse("a feature must have a position or a property", "none", top.line);
  refuseEqualHeadings(headings, file, top.line);
  return tableOfRows(file, headings, rows.rows, { headingLine: top.line, notes: notes.list() });
}

function addRow(
  rows: ObjectRows,
  properties: JsonNode | null,
  beside: readonly (readonly [string, string])[],
  line: number,
  fault: string | null,
): void {
  const members = properties?.kind === "object" ? properties.members : [];
  rows.add({ kind: "object", line, members }, { beside, fault });
}
