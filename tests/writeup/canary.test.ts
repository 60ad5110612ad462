import { gzipSync, strToU8, zipSync, zlibSync } from "fflate";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import {
  FIELDS,
  type Format,
  FORMATS,
  loadDigLog,
  loadGardenLog,
  type LogFile,
  parseMachines,
} from "../../lib/log/mod.ts";
import { makeWriteUp } from "../../lib/writeup/mod.ts";
import { season } from "../commands/_season.ts";
import { gpx, workbook, writers } from "../log/_formats.ts";
import { bytesUnder, latin, layers } from "./_layers.ts";
import { PICTURES } from "./_pictures.ts";
import { machines, plainCells, smallProject, smallWriteUp } from "./_small_write_up.ts";

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
/** Those that nobody can take for a number: a number in a field of numbers is a value, and published. */
const WORDS = SECRETS.slice(2);
/** Those that a name is known to give away: what stands in the log as well, and a place written as coordinates. */
const TELLING = SECRETS.filter((secret) =>
  !["u09tunq", "pocket-telephone-9", "IMG_20310719"].includes(secret)
);
const MACHINE = "Machine of Marlpit Acre", SET = "Wilhelmina's set";
const NEEDED = ["signal_id", "machine", "settings", "readings_right", "readings_left"];
// Columns in which any text may stand. The others hold a number, a word of a list, or a time.
const TEXTS = [
  ...["site", "observer", "notes", "what", "ground", "moisture", "tone_heard", "rule_version", "stopped_why"],
  ...["hole_id", "outing_id", "find_id"],
];
const FREE = [...new Set([...FIELDS.signal, ...FIELDS.outing, ...FIELDS.find].map(({ name }) => name))]
  .filter((name) => ![...NEEDED, "site_private"].includes(name));
const UNUSED = ["gps_track", "device", "photo"];
const HEAD = [...NEEDED, ...FREE, ...UNUSED];
const OWN: Readonly<Record<string, string>> = {
  latitude: "47.65432",
  longitude: "-12.34567",
  date: "2031-07-19",
  seen_at: "2031-07-19T08:33",
  reported: "yes",
};
const SOUND = SECRETS.map((secret, i) => [
  ...[`s${i} ${secret}`, MACHINE, SET, `${400 + i}`, "x 405"],
  ...FREE.map((name, k) =>
    OWN[name] ?? (TEXTS.includes(name) ? (name.endsWith("_id") ? `${secret} ${i}` : at(i + k)) : "")
  ),
  ...UNUSED.map((_, k) => at(i + k)),
]);
/** A row a field, which is rejected for it where the field takes no free text: what is rejected must not get out either. */
const FAULTY = FREE.filter((name) => !TEXTS.includes(name)).map((field, i) => [
  ...[`f${i}`, MACHINE, SET, "300", "301"],
  ...FREE.map((name) => name === field ? WORDS[i % WORDS.length]! : name === "site" ? "a" : ""),
  ...UNUSED.map(() => ""),
]);
const GOOD = Array.from({ length: FAULTY.length }, (_, i) => [
  ...[`g${i}`, MACHINE, SET, "200", "201"],
  ...FREE.map((name) => name === "site" ? "a" : ""),
  ...UNUSED.map(() => ""),
]);

// The same of a garden log. Targets and neighbours are shown as they were written, but for what gives something away.
const TRIAL_NEEDED = ["trial_id", "machine", "settings", "readings_right", "readings_left"];
const TRIAL_TEXTS = ["block", "spot", "tone_heard", "notes"];
const OBJECTS = ["target", "neighbour", "neighbour_kind"];
const TRIAL_FREE = FIELDS.trial.map(({ name }) => name).filter((name) => !TRIAL_NEEDED.includes(name));
const TRIAL_HEAD = [...TRIAL_NEEDED, ...TRIAL_FREE, "garden_at", "device", "photo"];
const plainObject = (name: string): string =>
  name === "target" ? "copper disc" : name === "neighbour" ? "long nail" : name === "gap_cm" ? "4" : "";
const TRIALS = [
  ...SECRETS.map((secret, i) => [
    ...[`t${i} ${secret}`, MACHINE, SET, "400 401", "399"],
    ...TRIAL_FREE.map((name, k) =>
      TRIAL_TEXTS.includes(name)
        ? at(i + k)
        : OBJECTS.includes(name)
        ? `${name} at ${TELLING[(i + k) % TELLING.length]}`
        : name === "tried_at"
        ? "2031-07-19T07:08"
        : plainObject(name)
    ),
    ...UNUSED.map((_, k) => at(i + k)),
  ]),
  ...[...TRIAL_FREE, "readings_right", "readings_left"].filter((name) =>
    ![...TRIAL_TEXTS, ...OBJECTS].includes(name)
  ).flatMap((field, i) => [
    [
      ...[`f${i}`, MACHINE, SET],
      ...["readings_right", "readings_left"].map((name) => name === field ? WORDS[i % WORDS.length]! : "300"),
      ...TRIAL_FREE.map((name) => name === field ? WORDS[i % WORDS.length]! : plainObject(name)),
      ...UNUSED.map(() => ""),
    ],
    [...[`g${i}`, MACHINE, SET, "300", "301"], ...TRIAL_FREE.map(plainObject), ...UNUSED.map(() => "")],
  ]),
];

const xml = (text: string): string =>
  text.replaceAll("&", "&amp;").replaceAll("<", "&lt;").replaceAll('"', "&quot;").replaceAll("'", "&apos;");
const PLACES = ["latitude", "longitude"];

/** A log in each format, with secrets also where only this format has a place for them, its own name included. */
function logOf(format: Format, head: readonly string[], rows: readonly (readonly string[])[]): LogFile {
  const cellsOf = (row: readonly string[], without: readonly string[]): [string, string][] =>
    head.flatMap((heading, i) => without.includes(heading) || row[i] === "" ? [] : [[heading, row[i]!]]);
  const logs: Readonly<Record<Format, () => LogFile>> = {
    csv: () => ({ name: `${at(4)}.csv`, bytes: writers.csv(head, rows) }),
    json: () => ({ name: `${at(5)}.json`, bytes: writers.json(head, rows) }),
    ndjson: () => ({ name: `${at(6)}.ndjson`, bytes: writers.ndjson(head, rows) }),
    xlsx: () => ({ name: `${at(7)}.xlsx`, bytes: workbook([{ name: at(10), rows: [head, ...rows] }]) }),
    zip: () => ({
      name: `${at(10)}.zip`,
      bytes: zipSync({
        [`${at(10)}/${at(5)}.csv`]: writers.csv(head, rows),
        [`${at(10)}/track of ${at(0)}.jpg`]: strToU8(at(12)),
      }, { comment: at(3), mtime: "2031-07-19T00:00:00" }),
    }),
    geojson: () => ({
      name: `${at(11)}.geojson`,
      bytes: strToU8(JSON.stringify({
        type: "FeatureCollection",
        name: at(10),
        bbox: [-12.34567, 47.65432, -12.34567, 47.65432],
        features: rows.map((row) => ({
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
          rows.map((row) =>
            `<wpt lat="47.65432" lon="-12.34567"><time>2031-07-19T08:33:00Z</time><name>${
              xml(at(4))
            }</name><cmt>${xml(at(12))}</cmt><link href="https://example.org/${
              xml(at(14))
            }.jpg"/><extensions>${
              cellsOf(row, PLACES).map(([name, cell]) => `<t:${name}>${xml(cell)}</t:${name}>`).join("")
            }</extensions></wpt>`
          ).join("\n") +
          `<trk><name>${xml(at(10))}</name><trkseg><trkpt lat="47.65432" lon="-12.34567"/></trkseg></trk>`,
        `version="1.1" creator="${at(13)}"`,
      )),
    }),
  };
  return logs[format]();
}

// Every text of a machines file.
const [model] = machines.machines;
const MACHINES_TEXT = JSON.stringify({
  ...machines,
  machines: [
    {
      ...model,
      machine: MACHINE,
      notes: SECRETS.join("; "),
      tones: {
        ...model!.tones,
        name: `tones of ${at(6)}`,
        bands: model!.tones.bands.map((band) => ({ ...band, name: `the tone of ${at(9)}` })),
      },
    },
    // Nothing was logged with it, so it stays unnamed.
    { ...model, machine: `${at(13)} at ${at(10)}` },
  ],
  settings: [{
    settings: SET,
    machine: MACHINE,
    mode: `for ${at(2)}`,
    software_version: at(8),
    notes: SECRETS.join("; "),
  }],
});
const kit = parseMachines(MACHINES_TEXT);

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
  let root = "";
  beforeEach(async () => {
    root = await smallProject({
      plain: [...plainCells, "console.log(text, await Deno.readTextFile(`${data}/machines.json`))"],
    });
  });
  afterEach(() => Deno.remove(root, { recursive: true }));

  test.each(FORMATS)(
    "in a dig log and a garden log of format %s, and in the machines file",
    async (format) => {
      const dig = logOf(format, HEAD, [...SOUND, ...FAULTY, ...GOOD]),
        trials = logOf(format, TRIAL_HEAD, TRIALS);
      const digLog = await loadDigLog(dig, kit), gardenLog = await loadGardenLog(trials, kit);
      // The planting took: these rows were read, and those were rejected.
      expect(digLog.season.signals.length).toBeGreaterThanOrEqual(SOUND.length + GOOD.length);
      expect(digLog.season.signals[0]!.kept_private).toMatchObject({
        latitude: 47.65432,
        longitude: -12.34567,
      });
      expect(digLog.report.rejected.length).toBeGreaterThan(10);
      expect(gardenLog.garden.trials.length).toBeGreaterThanOrEqual(SECRETS.length + 10);
      expect(gardenLog.report.rejected.length).toBeGreaterThan(10);
      // A folder named after the place, too.
      const out = `${root}/${at(10)} ${at(0)}/${at(9)}`;
      const made = await makeWriteUp({
        digLog,
        gardenLog,
        machines: kit,
        inputs: [
          { role: "dig-log", bytes: dig.bytes },
          { role: "garden-log", bytes: trials.bytes },
          { role: "machines", bytes: strToU8(MACHINES_TEXT) },
        ],
      }, { root, out, seed: 1, title: "Small", command: "deno task season DIG-LOG" });
      expect(made.failures).toEqual([]);
      expect(made.leaks).toEqual([]);
      expect(found(bytesUnder(out))).toEqual([]);
      expect(found(bytesUnder(`${root}/.overiron/cache`))).toEqual([]);
      // What it was made from is there: names that are not shown as they were written have a number.
      const trialsCsv = Deno.readTextFileSync(`${out}/data/trials.csv`);
      for (
        const text of [
          "unnamed machine 1",
          "unnamed settings 1",
          "unnamed object 1",
          "copper disc",
          "long nail",
        ]
      ) {
        expect(trialsCsv).toContain(text);
      }
      // What is private is all there, beside it.
      const aside = [...bytesUnder(`${out}.rejected`).values()].flatMap((text) => layers(text)).join("\n");
      expect(SECRETS.slice(0, 4).filter((secret) => !aside.includes(secret))).toEqual([]);
      expect(aside).toContain(`machine,${MACHINE},unnamed machine 1`);
    },
    60_000,
  );

  test(
    "in a notebook of one's own: its metadata, earlier outputs, attachments, and the metadata of its pictures",
    async () => {
      const planted = { name: at(10), path: `/home/${at(11)}/${at(0)}`, all: SECRETS };
      const picture = (format: keyof typeof PICTURES): string =>
        `data:image/${format};base64,${PICTURES[format]}`;
      const cells = [
        { cell_type: "markdown", id: "a", source: `# Mine\n\n![a spade](${picture("jpeg")})` },
        { cell_type: "code", id: "b", source: "1 + 1" },
        ...Object.keys(PICTURES).map((format) => ({
          cell_type: "code",
          id: `shows-${format}`,
          source: `const ${format} = (await Deno.readFile(${
            JSON.stringify(`${root}/picture.${format}`)
          })).toBase64();
({ [Symbol.for("Jupyter.display")]: () => ({ "image/${format}": ${format} }) })`,
        })),
        {
          cell_type: "code",
          id: "in-html",
          source: "Deno.jupyter.html`" +
            Object.keys(PICTURES).map((format) =>
              `<img alt="a spade" src="${picture(format as keyof typeof PICTURES)}">`
            ).join("") + "`",
        },
      ].map((cell) => ({
        ...cell,
        metadata: { ...planted, tags: [at(2), "hide-input"] },
        attachments: { [`${at(14)}.jpg`]: { "image/jpeg": PICTURES.jpeg } },
        ...(cell.cell_type === "code"
          ? {
            execution_count: 1,
            outputs: [{ output_type: "stream", name: "stdout", text: SECRETS.join("\n") }],
          }
          : {}),
      }));
      const folder = `${root}/${at(10)}`, own = `${folder}/mine.ipynb`;
      await Deno.mkdir(folder);
      for (const [format, base64] of Object.entries(PICTURES)) {
        await Deno.writeFile(`${root}/picture.${format}`, Uint8Array.fromBase64(base64));
      }
      const metadata = { ...planted, kernelspec: { ...planted, display_name: at(11), language: "x" } };
      await Deno.writeTextFile(
        own,
        JSON.stringify({ nbformat: 4, nbformat_minor: 5, metadata, cells, ...planted }),
      );
      const made = await smallWriteUp(root, { ownNotebooks: [own] });
      expect(made.failures).toEqual([]);
      expect(found(bytesUnder(`${root}/out`))).toEqual([]);
      expect(found(bytesUnder(`${root}/.overiron/cache`))).toEqual([]);
      // The pictures themselves are there, three in the notebook's text, three as outputs and three in HTML, less the GIF.
      const page = Deno.readTextFileSync(`${root}/out/index.html`);
      expect(page.match(/<img [^>]*src="data:image\/(png|jpeg|webp);base64,/g)).toHaveLength(1 + 2 + 3);
    },
    60_000,
  );

  test("in what is typed: names of files and folders, and the values of options", async () => {
    const folder = `${root}/${at(10)} ${at(4)}`, out = `${folder}/${at(9)}`;
    await Deno.mkdir(folder);
    const [log, garden, machinesFile] = [`${at(0)}.csv`, `${at(14)}.csv`, `${at(11)}.json`].map((name) =>
      `${folder}/${name}`
    ) as [string, string, string];
    await Deno.writeFile(log, writers.csv(HEAD, [...SOUND, ...GOOD]));
    await Deno.writeFile(garden, writers.csv(TRIAL_HEAD, TRIALS));
    await Deno.writeTextFile(machinesFile, MACHINES_TEXT);
    const ended = await season([log, "--trials", garden, "--machines", machinesFile, "--out", out]);
    expect(ended.stderr).not.toContain("LOOK AGAIN");
    expect(ended.code, ended.stderr).toBe(0);
    expect(found(bytesUnder(out))).toEqual([]);
  }, 120_000);

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
