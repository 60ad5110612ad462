/** Rules of GPX 1.1, from its XML Schema (http://www.topografix.com/GPX/1/1/gpx.xsd): what an element may hold. */
export interface GpxType {
  /** Child elements in the order that the schema demands; "*" may repeat. */
  readonly children: readonly (readonly [name: string, type: string, many?: "*"])[];
  /** Attributes, all of them required. */
  readonly attributes: readonly (readonly [name: string, type: string])[];
}

const type = (
  children: GpxType["children"],
  attributes: GpxType["attributes"] = [],
): GpxType => ({ children, attributes });

const POINT: GpxType["children"] = [
  ["ele", "decimal"],
  ["time", "dateTime"],
  ["magvar", "degrees"],
  ["geoidheight", "decimal"],
  ["name", "string"],
  ["cmt", "string"],
  ["desc", "string"],
  ["src", "string"],
  ["link", "linkType", "*"],
  ["sym", "string"],
  ["type", "string"],
  ["fix", "fix"],
  ["sat", "count"],
  ["hdop", "decimal"],
  ["vdop", "decimal"],
  ["pdop", "decimal"],
  ["ageofdgpsdata", "decimal"],
  ["dgpsid", "station"],
  ["extensions", "extensionsType"],
];
const LINE: GpxType["children"] = [
  ["name", "string"],
  ["cmt", "string"],
  ["desc", "string"],
  ["src", "string"],
  ["link", "linkType", "*"],
  ["number", "count"],
  ["type", "string"],
  ["extensions", "extensionsType"],
];

/** Element types by name. Any other name is a simple type of `GPX_VALUES`. */
export const GPX_TYPES: ReadonlyMap<string, GpxType> = new Map([
  [
    "gpxType",
    type([
      ["metadata", "metadataType"],
      ["wpt", "wptType", "*"],
      ["rte", "rteType", "*"],
      ["trk", "trkType", "*"],
      ["extensions", "extensionsType"],
    ], [["version", "version"], ["creator", "string"]]),
  ],
  [
    "metadataType",
    type([
      ["name", "string"],
      ["desc", "string"],
      ["author", "personType"],
      ["copyright", "copyrightType"],
      ["link", "linkType", "*"],
      ["time", "dateTime"],
      ["keywords", "string"],
      ["bounds", "boundsType"],
      ["extensions", "extensionsType"],
    ]),
  ],
  ["wptType", type(POINT, [["lat", "latitude"], ["lon", "longitude"]])],
  ["rteType", type([...LINE, ["rtept", "wptType", "*"]])],
  ["trkType", type([...LINE, ["trkseg", "trksegType", "*"]])],
  ["trksegType", type([["trkpt", "wptType", "*"], ["extensions", "extensionsType"]])],
  ["personType", type([["name", "string"], ["email", "emailType"], ["link", "linkType"]])],
  ["copyrightType", type([["year", "year"], ["license", "uri"]], [["author", "string"]])],
  ["linkType", type([["text", "string"], ["type", "string"]], [["href", "uri"]])],
  ["emailType", type([], [["id", "string"], ["domain", "string"]])],
  [
    "boundsType",
    type([], [["minlat", "latitude"], ["minlon", "longitude"], ["maxlat", "latitude"], [
      "maxlon",
      "longitude",
    ]]),
  ],
]);

const DECIMAL = /^[+-]?(?:\d+(?:\.\d*)?|\.\d+)$/;
const WHOLE = /^[+-]?\d+$/;
const ZONE = "(?:Z|[+-](?:(?:0\\d|1[0-3]):[0-5]\\d|14:00))?";
const DATE_TIME = new RegExp(
  `^-?(\\d{4}|[1-9]\\d{4,})-(\\d{2})-(\\d{2})T(?:([01]\\d|2[0-3]):[0-5]\\d:[0-5]\\d(?:\\.\\d+)?|24:00:00(?:\\.0+)?)${ZONE}$`,
);
const YEAR = new RegExp(`^-?(\\d{4}|[1-9]\\d{4,})${ZONE}$`);

const within = (text: string, low: number, high: number, open = false): boolean =>
  DECIMAL.test(text) && Number(text) >= low && (open ? Number(text) < high : Number(text) <= high);

function isDateTime(text: string): boolean {
  const match = DATE_TIME.exec(text);
  if (match === null || Number(match[1]) === 0) return false;
  const year = Number(match[1]), month = Number(match[2]), day = Number(match[3]);
  const leap = (year % 4 === 0 && year % 100 !== 0) || year % 400 === 0;
  const days = month === 2 ? (leap ? 29 : 28) : [4, 6, 9, 11].includes(month) ? 30 : 31;
  return month >= 1 && month <= 12 && day >= 1 && day <= days;
}

interface GpxValue {
  readonly rule: string;
  readonly allows: (text: string) => boolean;
}

/** Simple types: the rule in words and its test, after white space at the ends is dropped. */
export const GPX_VALUES: ReadonlyMap<string, GpxValue> = new Map<string, GpxValue>([
  ["string", { rule: "be text", allows: () => true }],
  ["uri", { rule: "be an address", allows: (text) => !/[\s<>"{}|\\^`]|%(?![0-9a-fA-F]{2})/.test(text) }],
  ["version", { rule: "be 1.1", allows: (text) => text === "1.1" }],
  ["decimal", { rule: "be a number with a decimal point", allows: (text) => DECIMAL.test(text) }],
  ["dateTime", { rule: "be a time as YYYY-MM-DDTHH:MM:SS", allows: isDateTime }],
  ["year", { rule: "be a year", allows: (text) => YEAR.test(text) && !/^-?0000/.test(text) }],
  ["latitude", { rule: "be from -90 to 90", allows: (text) => within(text, -90, 90) }],
  ["longitude", { rule: "be from -180 to below 180", allows: (text) => within(text, -180, 180, true) }],
  ["degrees", { rule: "be from 0 to below 360", allows: (text) => within(text, 0, 360, true) }],
  ["fix", { rule: "be none, 2d, 3d, dgps or pps", allows: (text) => /^(?:none|2d|3d|dgps|pps)$/.test(text) }],
  ["count", {
    rule: "be a whole number of 0 or above",
    allows: (text) => WHOLE.test(text) && Number(text) >= 0,
  }],
  [
    "station",
    {
      rule: "be a whole number from 0 to 1023",
      allows: (text) => WHOLE.test(text) && Number(text) >= 0 && Number(text) <= 1023,
    },
  ],
]);

/** The namespace of GPX 1.1. */
export const GPX_NAMESPACE = "http://www.topografix.com/GPX/1/1";
