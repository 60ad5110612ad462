import { describe, expect, test } from "vitest";
import { FileFault, type Table } from "../../lib/log/mod.ts";
import { readGpx } from "../../lib/log/read_gpx.ts";
import { bytesOf, faultOf } from "./_helpers.ts";
import { gpx } from "./_formats.ts";
import { GPX_SAMPLES, RICH } from "./_gpx_samples.ts";

const read = (text: string | Uint8Array, options = {}): Promise<Table> =>
  readGpx(typeof text === "string" ? bytesOf(text) : text, { file: "log.gpx", ...options });

test.each(GPX_SAMPLES.map((sample) => [sample.name, sample] as const))(
  "readGpx() agrees with the schema of GPX 1.1: %s",
  async (_, { text, valid }) => {
    const answer = await read(text).then(() => true, (error) => {
      expect(error).toBeInstanceOf(FileFault);
      return false;
    });
    expect(answer).toBe(valid);
  },
);

test("readGpx() keeps everything that a waypoint says, under its names", async () => {
  const table = await read(RICH);
  const row = (at: number) =>
    Object.fromEntries(table.headings.map((heading, i) => [heading, table.cell(at, i)]));
  expect(table.rowCount).toBe(2);
  expect(row(0)).toEqual({
    latitude: "1.5",
    longitude: "2",
    ele: "3.5",
    time: "2025-03-08T08:15:00.5+01:00",
    magvar: "359.9",
    geoidheight: "-4",
    name: "S1 & S2",
    cmt: "<c>",
    desc: "d",
    src: "s",
    link: "https://example.org/a",
    link_2: "https://example.org/b",
    sym: "y",
    type: "t",
    fix: "3d",
    sat: "7",
    hdop: "1.1",
    vdop: "1",
    pdop: ".5",
    ageofdgpsdata: "0",
    dgpsid: "1023",
    readings_right: "38 40 x",
    "find.metal": "ferrous",
  });
  expect([row(1)["latitude"], row(1)["name"]]).toEqual(["-90", ""]);
  expect([0, 1].map((at) => table.place(at, 0).line)).toEqual([13, 35]);
  expect(table.notes).toEqual([
    {
      text: "A track or a route was passed over: waypoints alone are signals",
      count: 2,
      first: { line: 36, value: "rte" },
    },
  ]);
});

describe("readGpx() refuses, with the line", () => {
  test.each([
    [
      "a document type with entities that grow",
      '<?xml version="1.0"?>\n<!DOCTYPE gpx [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">\n<!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;">]>\n<gpx>&c;</gpx>',
      "it must not declare a document type or entities, got a DOCTYPE on line 3",
    ],
    [
      "a document type that points elsewhere",
      '<!DOCTYPE gpx SYSTEM "file:///etc/hostname"><gpx/>',
      "it must not declare a document type or entities, got a DOCTYPE on line 1",
    ],
    [
      "an entity of nobody's",
      gpx('<wpt lat="1" lon="2"><name>&x;</name></wpt>'),
      "it must be well-formed XML, got undefined entity on line 3",
    ],
    [
      "GPX 1.0",
      '<gpx version="1.0" xmlns="http://www.topografix.com/GPX/1/0"/>',
      'it must be GPX 1.1 (xmlns="http://www.topografix.com/GPX/1/1"), got version 1.0 in another namespace on line 1',
    ],
    [
      "elements out of order",
      gpx('<wpt lat="1" lon="2">\n<name>a</name>\n<ele>1</ele></wpt>'),
      "elements of wpt must stand once and in the order of the schema (ele, time, magvar, geoidheight, name, cmt, desc, src, link, sym, type, fix, sat, hdop, vdop, pdop, ageofdgpsdata, dgpsid, extensions), got <ele> on line 5",
    ],
    [
      "a longitude of 180",
      gpx('<wpt lat="1" lon="180"/>'),
      'lon of <wpt> must be from -180 to below 180, got "180" on line 3',
    ],
    ["no waypoint", gpx(""), "it must have a waypoint (wpt), got none"],
    ["tracks alone", gpx("<trk/>"), "it must have a waypoint (wpt), got tracks or routes only"],
    [
      "elements without end",
      gpx(`<wpt lat="1" lon="2"><extensions>${"<t:a>".repeat(200)}`),
      "elements must lie 100 deep or less, got deeper ones; raise maxDepth (--max-depth) if it is meant on line 3",
    ],
  ])("%s", async (_, text, message) => {
    const fault = await faultOf(() => read(text));
    expect(fault).toBeInstanceOf(FileFault);
    expect(fault.message).toBe(`Cannot read log.gpx: ${message}`);
  });
});

describe("readGpx() reads the encoding that the first line names", () => {
  const text =
    '<?xml version="1.0" encoding="ISO-8859-1"?><gpx version="1.1" creator="c" xmlns="http://www.topografix.com/GPX/1/1"><wpt lat="1" lon="2"><name>M\u00f8lle</name></wpt></gpx>';
  const latin = Uint8Array.from(text, (letter) => letter.charCodeAt(0));

  test("and no other", async () => {
    expect((await read(latin)).cell(0, 2)).toBe("Mølle");
    const greek = bytesOf(text.replace("ISO-8859-1", "ISO-8859-7"));
    expect((await faultOf(() => read(greek))).message).toContain(
      'got "iso-8859-7" in its first line; save it as UTF-8',
    );
  });
});
