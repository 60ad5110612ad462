// Makes the demo logs again, byte for byte: deno run -A datasets/make_demo.ts
// With --check it writes nothing, and ends with 3 where a file is not what it would write.
// Everything in them is invented: places, people, machines, objects and digs.
import { type Chance, chance } from "../lib/numbers/chance.ts";
import {
  logCsv,
  VIRTUAL_GARDEN_FIELDS,
  VIRTUAL_SEASON_FIELDS,
  virtualGarden,
  virtualGardenPlan,
  VIRTUAL_MACHINES,
  virtualMachinesFile,
  virtualSeason,
} from "../lib/virtual/mod.ts";

const SEED = 20260301;
const here = new URL("./", import.meta.url);
type Row = Record<string, string>;

function makeGarden(): Row[] {
  const { rows } = virtualGarden(virtualGardenPlan({ seed: SEED }), { seed: SEED });
  const garden: Row[] = rows.map((row) => ({ ...row }));
  const together = garden.filter((row) => row.gap_cm !== "");
  together[30]!.notes = "Wind moved the string, gap measured again";
  together[52]!.gap_cm = "about 3"; // text in a number column
  together[90]!.coil_height_cm = "";
  return garden;
}

const pick = <T>(draw: Chance, items: readonly T[]): T => items[draw.integer(items.length)]!;

// What the ear says: mostly the tone of the usual reading, often the best tone among the passes, now and then the wrong one.
function toneHeard(row: Readonly<Row>, draw: Chance): string {
  const { breaks, bands } = VIRTUAL_MACHINES.find(({ settings }) => settings.settings === row.settings)!.machine.tones;
  const passes = `${row.readings_right} ${row.readings_left}`.split(" ").filter((pass) => pass !== "" && pass !== "x").map(Number);
  const best = breaks.filter((edge) => edge <= Math.max(...passes)).length;
  const turn = draw.next(), slip = draw.integer(bands.length);
  return turn < 0.03 ? bands[slip]!.name : turn < 0.4 ? bands[best]!.name : row.tone_heard!;
}

// What people write: some of it is legal, some of it the loader must refuse and name.
function makeSeason(): Row[] {
  const rows: Row[] = [...virtualSeason({ signals: 480, seed: SEED, perOuting: 15 })].map(({ row }) => ({ ...row }));
  const draw = chance(SEED, "demo/mess"), ear = chance(SEED, "demo/ear");
  for (const row of rows) {
    row.tone_heard = toneHeard(row, ear);
    for (const field of ["spot_moves", "iron_near", "tone_heard", "depth_indicated", "my_call", "observer", "after_dig"]) {
      if (draw.next() < 0.04) row[field] = "";
    }
    const given = (row.readings_right ?? "").split(" ").filter((pass) => pass !== "x").map(Number);
    const turn = draw.next();
    if (given.length < 2) continue;
    const low = Math.min(...given), high = Math.max(...given);
    if (turn < 0.015 && low >= 0 && low < high) row.readings_right = `${low}-${high}`;
    else if (turn < 0.03) row.readings_right = `${Math.round(given[0]! / 10) * 10}ish`;
    else if (turn < 0.05) row.readings_left = "";
    else if (turn < 0.07) row.readings_right = row.readings_right!.replaceAll(" ", ", ");
    else if (turn < 0.1) {
      row.notes = pick(draw, ['Wet clay, coil "bumped" once', "After ploughing", "Dog ran over the plug", "Read again, the same"]);
    }
  }
  const dug = rows.filter((row) => row.result === "found" && row.depth_cm && row.settings === "A-open");
  dug[20]!.depth_cm = "a hand deep"; // text in a number column
  dug[61]!.readings_right = "255 1512 261"; // outside the scale
  dug[90]!.dug = "maybe"; // a word the field does not know
  dug[118]!.date = "31.02.2025"; // no such day
  rows.splice(303, 0, { ...rows[302]!, notes: "Written down twice" }); // one id twice
  rows.splice(201, 0, {}); // a blank row
  return rows;
}

const files = new Map<string, string>([
  ["demo/dig-log.csv", logCsv(VIRTUAL_SEASON_FIELDS, makeSeason())],
  ["demo/garden-log.csv", logCsv(VIRTUAL_GARDEN_FIELDS, makeGarden())],
  ["demo/machines.json", virtualMachinesFile()],
]);

// The descriptor: a Data Package whose sizes and checksums are those of the files.
const about: Record<string, [name: string, title: string, format: string, mediatype: string]> = {
  "demo/dig-log.csv": ["demo-dig-log", "Invented season, a row a signal", "csv", "text/csv"],
  "demo/garden-log.csv": ["demo-garden-log", "Invented test garden, a row a trial", "csv", "text/csv"],
  "demo/machines.json": ["demo-machines", "Two invented machines and their settings sets", "json", "application/json"],
};
const resources = [];
for (const [path, text] of files) {
  const [name, title, format, mediatype] = about[path]!;
  const data = new TextEncoder().encode(text);
  const hash = [...new Uint8Array(await crypto.subtle.digest("SHA-256", data))].map((b) => b.toString(16).padStart(2, "0")).join("");
  const fields = text.slice(0, text.indexOf("\n")).split(",").map((field) => ({ name: field, type: "string" }));
  const table = format === "csv" ? { type: "table", schema: { fields, missingValues: [""] } } : {};
  resources.push({ name, path, title, format, mediatype, encoding: "utf-8", bytes: data.length, hash: `sha256:${hash}`, ...table });
}
const descriptor = {
  $schema: "https://datapackage.org/profiles/2.0/datapackage.json",
  name: "overiron-demo",
  title: "Demo logs of overiron",
  description: "Invented logs of a season and a test garden. No real place, person, machine or find. Made by datasets/make_demo.ts.",
  version: "1.0.0",
  licenses: [{ name: "MIT", title: "MIT License" }],
  resources,
};
files.set("datapackage.json", JSON.stringify(descriptor, null, 2) + "\n");

let different = 0;
if (!Deno.args.includes("--check")) await Deno.mkdir(new URL("demo/", here), { recursive: true });
for (const [name, text] of files) {
  const url = new URL(name, here);
  if (!Deno.args.includes("--check")) await Deno.writeTextFile(url, text);
  else if (await Deno.readTextFile(url).catch(() => null) !== text) {
    console.error(`datasets/${name} is not what the generator makes`);
    different++;
  }
}
if (different > 0) Deno.exit(3);
