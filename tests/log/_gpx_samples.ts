import { gpx } from "./_formats.ts";

/** GPX documents with what the schema of GPX 1.1 says of them; the outside test asks xmllint for the same. */
export interface GpxSample {
  readonly name: string;
  readonly text: string;
  readonly valid: boolean;
}

const wpt = (inside: string, attributes = 'lat="1.5" lon="2"'): string =>
  gpx(`<wpt ${attributes}>${inside}</wpt>`);

/** One of everything that a waypoint, a route, a track and the metadata may hold. */
export const RICH = gpx(`<metadata>
<name>n</name><desc>d</desc>
<author><name>a</name><email id="a" domain="example.org"/><link href="https://example.org/"><text>t</text><type>y</type></link></author>
<copyright author="a"><year>2025</year><license>https://example.org/</license></copyright>
<link href="https://example.org/"/>
<time>2025-03-08T08:15:00Z</time>
<keywords>k</keywords>
<bounds minlat="-1" minlon="-2" maxlat="3" maxlon="4"/>
<extensions><t:x>1</t:x></extensions>
</metadata>
<wpt lat="1.5" lon="2">
<ele>3.5</ele>
<time>2025-03-08T08:15:00.5+01:00</time>
<magvar>359.9</magvar>
<geoidheight>-4</geoidheight>
<name>S1 &amp; &#x53;2</name>
<cmt><![CDATA[<c>]]></cmt>
<desc>d</desc>
<src>s</src>
<link href="https://example.org/a"/>
<link href="https://example.org/b"/>
<sym>y</sym>
<type>t</type>
<fix>3d</fix>
<sat>7</sat>
<hdop>1.1</hdop>
<vdop>1</vdop>
<pdop>.5</pdop>
<ageofdgpsdata>0</ageofdgpsdata>
<dgpsid>1023</dgpsid>
<extensions><t:readings_right>38 40 x</t:readings_right><t:find><t:metal>ferrous</t:metal></t:find></extensions>
</wpt>
<wpt lat="-90" lon="-180"/>
<rte><name>r</name><number>1</number><rtept lat="1" lon="2"/></rte>
<trk><name>t</name><trkseg><trkpt lat="1" lon="2"><ele>1</ele></trkpt></trkseg></trk>
<extensions><t:y/></extensions>`);

export const GPX_SAMPLES: readonly GpxSample[] = [
  { name: "one of everything", text: RICH, valid: true },
  { name: "a bare waypoint", text: wpt(""), valid: true },
  { name: "latitude 90", text: wpt("", 'lat="90.0" lon="179.9999999"'), valid: true },
  { name: "a number with a plus and a leading point", text: wpt("<ele>+.5</ele>"), valid: true },
  { name: "white space round numbers", text: wpt("<ele> 5\n</ele>", 'lat=" 1 " lon="2"'), valid: true },
  { name: "a leap day", text: wpt("<time>2024-02-29T24:00:00</time>"), valid: true },
  { name: "a year of five digits", text: wpt("<time>12025-01-01T00:00:00Z</time>"), valid: true },
  { name: "an empty name", text: wpt("<name/>"), valid: true },
  {
    name: "a schema location",
    text: gpx(
      '<wpt lat="1" lon="2"/>',
      'version="1.1" creator="c" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance" xsi:schemaLocation="http://www.topografix.com/GPX/1/1 http://www.topografix.com/GPX/1/1/gpx.xsd"',
    ),
    valid: true,
  },
  {
    name: "a prefix for GPX itself",
    text:
      '<g:gpx xmlns:g="http://www.topografix.com/GPX/1/1" version="1.1" creator="c"><g:wpt lat="1" lon="2"><g:name>a</g:name></g:wpt></g:gpx>',
    valid: true,
  },
  { name: "latitude above 90", text: wpt("", 'lat="90.1" lon="2"'), valid: false },
  { name: "longitude 180", text: wpt("", 'lat="1" lon="180"'), valid: false },
  { name: "longitude below -180", text: wpt("", 'lat="1" lon="-180.1"'), valid: false },
  { name: "a latitude with an exponent", text: wpt("", 'lat="1e1" lon="2"'), valid: false },
  { name: "a latitude with a comma", text: wpt("", 'lat="1,5" lon="2"'), valid: false },
  { name: "no longitude", text: wpt("", 'lat="1"'), valid: false },
  { name: "an attribute too many", text: wpt("", 'lat="1" lon="2" alt="3"'), valid: false },
  { name: "name before ele", text: wpt("<name>a</name><ele>1</ele>"), valid: false },
  { name: "ele twice", text: wpt("<ele>1</ele><ele>2</ele>"), valid: false },
  { name: "an element unknown to GPX", text: wpt("<colour>red</colour>"), valid: false },
  {
    name: "an element of another namespace outside extensions",
    text: wpt("<t:colour>red</t:colour>"),
    valid: false,
  },
  {
    name: "an element of GPX in extensions",
    text: wpt("<extensions><name>a</name></extensions>"),
    valid: false,
  },
  {
    name: "an element without a namespace in extensions",
    text: wpt('<extensions><a xmlns="">1</a></extensions>'),
    valid: false,
  },
  { name: "text between elements", text: wpt("hello<ele>1</ele>"), valid: false },
  { name: "text in a waypoint", text: wpt("hello"), valid: false },
  { name: "an elevation in words", text: wpt("<ele>high</ele>"), valid: false },
  { name: "a time without seconds", text: wpt("<time>2025-03-08T08:15Z</time>"), valid: false },
  { name: "a day that no year has", text: wpt("<time>2025-02-29T08:15:00Z</time>"), valid: false },
  { name: "hour 25", text: wpt("<time>2025-02-28T25:15:00Z</time>"), valid: false },
  { name: "a zone beyond 14 hours", text: wpt("<time>2025-02-28T08:15:00+14:30</time>"), valid: false },
  { name: "magvar 360", text: wpt("<magvar>360</magvar>"), valid: false },
  { name: "an unknown fix", text: wpt("<fix>4d</fix>"), valid: false },
  { name: "fewer than no satellites", text: wpt("<sat>-1</sat>"), valid: false },
  { name: "half a satellite", text: wpt("<sat>1.5</sat>"), valid: false },
  { name: "station 1024", text: wpt("<dgpsid>1024</dgpsid>"), valid: false },
  { name: "a link without an address", text: wpt("<link/>"), valid: false },
  { name: "extensions before sym", text: wpt("<extensions/><sym>a</sym>"), valid: false },
  { name: "a waypoint after a track", text: gpx('<trk/><wpt lat="1" lon="2"/>'), valid: false },
  { name: "metadata after a waypoint", text: gpx('<wpt lat="1" lon="2"/><metadata/>'), valid: false },
  { name: "no creator", text: gpx('<wpt lat="1" lon="2"/>', 'version="1.1"'), valid: false },
  { name: "version 1.0", text: gpx('<wpt lat="1" lon="2"/>', 'version="1.0" creator="c"'), valid: false },
  { name: "no namespace", text: '<gpx version="1.1" creator="c"><wpt lat="1" lon="2"/></gpx>', valid: false },
  {
    name: "another root",
    text: '<wpt xmlns="http://www.topografix.com/GPX/1/1" lat="1" lon="2"/>',
    valid: false,
  },
  { name: "an element left open", text: gpx('<wpt lat="1" lon="2">'), valid: false },
  { name: "an entity of nobody's", text: wpt("<name>&nbsp;</name>"), valid: false },
  { name: "an attribute without quotes", text: gpx('<wpt lat=1 lon="2"/>'), valid: false },
  { name: "a prefix of nobody's", text: wpt("<extensions><z:a>1</z:a></extensions>"), valid: false },
];

/** Documents changed at random from `RICH`, by a seed: elements and attributes moved, doubled, dropped or filled otherwise. */
export function changedGpx(draw: () => number): string {
  const lines = RICH.split("\n");
  const pick = (): number => 2 + Math.floor(draw() * (lines.length - 3));
  for (let changes = 1 + Math.floor(draw() * 2); changes > 0; changes--) {
    const at = pick(), to = pick();
    const kind = Math.floor(draw() * 4);
    if (kind === 0) lines.splice(at, 1);
    else if (kind === 1) lines.splice(to, 0, lines[at]!);
    else if (kind === 2) [lines[at], lines[to]] = [lines[to]!, lines[at]!];
    else {lines[at] = lines[at]!.replace(
        /\d+(?:\.\d+)?/,
        ["-1", "400", "x", "", "1e2", "0"][Math.floor(draw() * 6)]!,
      );}
  }
  return lines.join("\n");
}
