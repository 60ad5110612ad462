import { gzipSync, strToU8, zipSync, zlibSync } from "fflate";
import { describe, expect, test } from "vitest";
import {
  csvText,
  FIELDS,
  type Format,
  loadDigLog,
  loadGardenLog,
  type LogFile,
  parseMachines,
  rejectedCsv,
} from "../../lib/log/mod.ts";
import { makeWriteUp } from "../../lib/writeup/mod.ts";
import { gpx, writers } from "../log/_formats.ts";
import { bytesUnder, latin, layers } from "./_layers.ts";
import { machines, plainCells, smallProject } from "./_small_write_up.ts";

// One invented place in several notations, the person, the site and the day.
const SECRETS = [
  "47.65432",
  "-12.34567",
  "47°39'15.6\"N",
  "12° 20.740' W",
  "QX 38921 77321",
  "QX3892177321",
  "29Q 412345 5271234",
  "u09tunq",
  "8C3W9QCJ+2VX",
  "2031-07-19",
  "Marlpit Acre",
  "Wilhelmina",
  "behind the third oak",
  "pocket-telephone-9",
  "IMG_20310719",
] as const;
/** Shorter forms of a position: a rounded one gives a place away as well. */
const SHORT = ["47.654", "12.345", "47°39", "12° 20"];

const at = (i: number): string => SECRETS[i % SECRETS.length]!;
const NEEDED = ["signal_id", "machine", "readings_right", "readings_left"];
// Columns in which any text may stand. The others hold a number, a word of a list, or a time.
const TEXTS = [
  ...["site", "observer", "notes", "what", "ground", "moisture", "tone_heard", "rule_version", "stopped_why"],
  ...["hole_id", "outing_id", "find_id"],
];
const FREE = [...new Set([...FIELDS.signal, ...FIELDS.outing, ...FIELDS.find].map(({ name }) => name))]
  .filter((name) => ![...NEEDED, "settings", "site_private"].includes(name));
const HEAD = [...NEEDED, ...FREE, "gps_track", "device", "photo"];
const OWN: Readonly<Record<string, string>> = {
  latitude: "47.65432",
  longitude: "-12.34567",
  date: "2031-07-19",
  seen_at: "2031-07-19T08:33",
  reported: "yes",
};
const SOUND = SECRETS.map((secret, i) => [
  ...[`s${i} ${secret}`, "Machine A", `${400 + i}`, "x 405"],
  ...FREE.map((name, k) =>
    OWN[name] ?? (TEXTS.includes(name) ? (name.endsWith("_id") ? `${secret} ${i}` : at(i + k)) : "")
  ),
  ...[secret, at(i + 1), at(i + 2)],
]);
/** A row a field, which is rejected for it where the field takes no free text: what is rejected must not get out either. */
const FAULTY = FREE.filter((name) => !TEXTS.includes(name)).map((field, i) => [
  ...[`f${i}`, "Machine A", "300", "301"],
  ...FREE.map((name) => name === field ? at(i) : name === "site" ? "a" : ""),
  ...["", "", ""],
]);
const GOOD = Array.from({ length: FAULTY.length }, (_, i) => [
  ...[`g${i}`, "Machine A", "200", "201"],
  ...FREE.map((name) => name === "site" ? "a" : ""),
  ...["", "", ""],
]);
const ROWS = [...SOUND, ...FAULTY, ...GOOD];

const xml = (text: string): string =>
  text.replaceAll("&", "&amp;").replaceAll("<", "&lt;").replaceAll('"', "&quot;").replaceAll("'", "&apos;");
const cellsOf = (row: readonly string[], without: readonly string[]): [string, string][] =>
  HEAD.flatMap((heading, i) => without.includes(heading) || row[i] === "" ? [] : [[heading, row[i]!]]);
const PLACES = ["latitude", "longitude"];

/** A log of each format, with secrets also where only this format has a place for them, its own name included. */
const LOGS: Readonly<Record<Format, () => LogFile>> = {
  csv: () => ({ name: `${at(4)}.csv`, bytes: writers.csv(HEAD, ROWS) }),
  json: () => ({ name: `${at(5)}.json`, bytes: writers.json(HEAD, ROWS) }),
  ndjson: () => ({ name: `${at(6)}.ndjson`, bytes: writers.ndjson(HEAD, ROWS) }),
  xlsx: () => ({ name: `${at(7)}.xlsx`, bytes: writers.xlsx(HEAD, ROWS) }),
  zip: () => ({
    name: `${at(10)}.zip`,
    bytes: zipSync({
      [`${at(10)}/${at(5)}.csv`]: writers.csv(HEAD, ROWS),
      [`${at(10)}/track of ${at(0)}.jpg`]: strToU8(at(12)),
    }, { comment: at(3), mtime: "2031-07-19T00:00:00" }),
  }),
  geojson: () => ({
    name: `${at(11)}.geojson`,
    bytes: strToU8(JSON.stringify({
      type: "FeatureCollection",
      name: at(10),
      bbox: [-12.34567, 47.65432, -12.34567, 47.65432],
      features: ROWS.map((row) => ({
        type: "Feature",
        id: at(3),
        geometry: { type: "Point", coordinates: [-12.34567, 47.65432] },
        properties: Object.fromEntries(cellsOf(row, PLACES)),
      })),
    })),
  }),
  gpx: () => ({
    name: `${at(12)}.gpx`,
    bytes: strToU8(gpx(
      `<metadata><name>${xml(at(10))}</name><desc>${xml(at(2))}</desc></metadata>` +
        ROWS.map((row) =>
          `<wpt lat="47.65432" lon="-12.34567"><time>2031-07-19T08:33:00Z</time><name>${
            xml(at(4))
          }</name><cmt>${xml(at(12))}</cmt><link href="https://example.org/${xml(at(14))}.jpg"/><extensions>${
            cellsOf(row, PLACES).map(([name, cell]) => `<t:${name}>${xml(cell)}</t:${name}>`).join("")
          }</extensions></wpt>`
        ).join("\n") +
        `<trk><name>${xml(at(10))}</name><trkseg><trkpt lat="47.65432" lon="-12.34567"/></trkseg></trk>`,
      `version="1.1" creator="${at(13)}"`,
    )),
  }),
};

const GARDEN_TEXTS = ["trial_id", "block", "spot", "tone_heard", "notes"];
const GARDEN = csvText([
  ["trial_id", "machine", "target", "neighbour", "gap_cm", "readings_right", "readings_left", "tried_at"]
    .concat(
      ["block", "spot", "tone_heard", "notes", "garden_at"],
    ),
  ...SECRETS.map((secret, i) => [
    ...[
      `t${i} ${secret}`,
      "Machine A",
      "copper disc",
      "long nail",
      `${i}`,
      "400 401",
      "399",
      "2031-07-19T07:08",
    ],
    ...GARDEN_TEXTS.slice(1).map((_, k) => at(i + k)),
    secret,
  ]),
]);

const kit = parseMachines(JSON.stringify({
  ...machines,
  machines: [
    ...machines.machines.map((machine) => ({ ...machine, notes: SECRETS.join("; ") })),
    // Nothing was logged with it, so it stays unnamed.
    { ...machines.machines[0], machine: `${at(13)} at ${at(10)}` },
  ],
}));

/** Secrets in any layer of any file. */
function found(files: ReadonlyMap<string, string>): string[] {
  return [...files].flatMap(([name, text]) => {
    const all = [...layers(text), name].join("\n").toLowerCase();
    return [...SECRETS, ...SHORT].filter((secret) => all.includes(secret.toLowerCase())).map((secret) =>
      `${name}: ${secret}`
    );
  });
}

describe("a place, a person or a day written into any field is in no byte of the write-up", () => {
  test.each(Object.keys(LOGS) as Format[])("in a dig log of format %s", async (format) => {
    const file = LOGS[format]();
    const digLog = await loadDigLog(file, kit);
    // The planting took: these rows were read, and those were rejected.
    expect(digLog.season.signals.length).toBeGreaterThanOrEqual(SOUND.length + GOOD.length);
    expect(digLog.season.signals[0]!.kept_private).toMatchObject({
      latitude: 47.65432,
      longitude: -12.34567,
    });
    expect(digLog.report.rejected.length).toBeGreaterThan(10);
    const root = await smallProject({ plain: [...plainCells, "console.log(text)"] });
    try {
      const gardenLog = format === "csv"
        ? await loadGardenLog({ name: `${at(10)}.csv`, bytes: strToU8(GARDEN) }, kit)
        : null;
      const made = await makeWriteUp({
        digLog,
        gardenLog,
        machines: kit,
        inputs: [{ role: "dig-log", bytes: file.bytes }],
      }, { root, out: `${root}/out`, seed: 1, title: "Small", command: "deno task season DIG-LOG" });
      expect(made.failures).toEqual([]);
      expect(made.leaks).toEqual([]);
      expect(found(bytesUnder(`${root}/out`))).toEqual([]);
      expect(found(bytesUnder(`${root}/.overiron/cache`))).toEqual([]);
      // What is private is all there, beside it.
      const aside = [...bytesUnder(`${root}/out.rejected`).values()].map((text) => layers(text).join("\n"))
        .join(
          "\n",
        );
      expect(SECRETS.slice(0, 4).filter((secret) => !aside.includes(secret))).toEqual([]);
      expect(rejectedCsv(digLog.report.rejected).length).toBeGreaterThan(0);
    } finally {
      await Deno.remove(root, { recursive: true });
    }
  }, 60_000);

  test("the search finds what is packed, compressed, in a picture or written otherwise", () => {
    const secret = "47.65432";
    const text = strToU8(`a place, ${secret}, packed away`);
    const png = (type: string, body: Uint8Array): string => {
      const chunk = new Uint8Array(12 + body.length);
      new DataView(chunk.buffer).setUint32(0, body.length);
      chunk.set(strToU8(type), 4);
      chunk.set(body, 8);
      return `\x89PNG\r\n\x1a\n${latin(chunk)}`;
    };
    const join = (...parts: Uint8Array[]): Uint8Array => Uint8Array.from(parts.flatMap((part) => [...part]));
    const hidden: Readonly<Record<string, string>> = {
      base64: btoa(latin(text)),
      "a data address": `<img src="data:image/png;base64,${
        btoa(png("tEXt", join(strToU8("Comment\0"), text)))
      }">`,
      "a data address in percent signs": "data:image/svg+xml,%34%37%2E%36%35%34%33%32",
      zip: latin(zipSync({ "a.txt": text })),
      "a name in a zip": latin(zipSync({ [`${secret}.txt`]: strToU8("x") })),
      gzip: latin(gzipSync(text)),
      zlib: latin(zlibSync(text)),
      "zTXt of a PNG": png("zTXt", join(strToU8("Comment\0\0"), zlibSync(text))),
      "iTXt of a PNG": png("iTXt", join(strToU8("Comment\0\x01\0\0\0"), zlibSync(text))),
      "gzip in base64 in a zip": latin(zipSync({ a: strToU8(btoa(latin(gzipSync(text)))) })),
      "two bytes a letter": [...secret].map((letter) => `${letter}\0`).join(""),
      "character references": [...secret].map((letter) => `&#${letter.charCodeAt(0)};`).join(""),
      "escapes of JSON": [...secret].map((letter) => `\\u00${letter.charCodeAt(0).toString(16)}`).join(""),
    };
    for (const [way, text] of Object.entries(hidden)) {
      expect(text.includes(secret) && !way.includes("name"), way).toBe(false);
      expect(`${way}: ${layers(text).join("\n").includes(secret)}`).toBe(`${way}: true`);
    }
    expect(layers("nothing to see").join()).not.toContain(secret);
  });
});
