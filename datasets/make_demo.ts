// Makes the demo logs again, byte for byte: deno run -A datasets/make_demo.ts
// Everything in them is invented: places, people, machines, objects and digs.
import { type Chance, chance } from "../lib/numbers/chance.ts";
import { kernelHalfWidthCm } from "../lib/virtual/mod.ts";

const SEED = 20260301;
const here = new URL("./", import.meta.url);
type Row = Record<string, string>;

// ---- machines -------------------------------------------------------------------------------------------------
const machines = {
  schema: "overiron-machines/1",
  machines: [
    {
      machine: "Machine A",
      scale: { low: 0, high: 600, step: 1 },
      iron_break: 210,
      tones: {
        name: "Four bands",
        kind: "bands",
        breaks: [210, 380, 500],
        bands: [
          { name: "iron", pitch_hz: 130.81, loudness: 0.6 },
          { name: "low", pitch_hz: 261.63, loudness: 1 },
          { name: "middle", pitch_hz: 392, loudness: 1 },
          { name: "high", pitch_hz: 659.26, loudness: 1 },
        ],
      },
    },
    {
      machine: "Machine B",
      scale: { low: -200, high: 200, step: 5 },
      iron_break: -60,
      tones: {
        name: "Two bands",
        kind: "bands",
        breaks: [-60],
        bands: [
          { name: "iron", pitch_hz: 146.83, loudness: 0.7 },
          { name: "metal", pitch_hz: 587.33, loudness: 1 },
        ],
      },
    },
  ],
  settings: [
    { settings: "A-open", machine: "Machine A", coil: { length_cm: 28, width_cm: 28, winding: "concentric" }, discrimination: "none" },
    { settings: "A-quiet", machine: "Machine A", coil: { length_cm: 28, width_cm: 28, winding: "concentric" }, discrimination: "iron-silenced" },
    { settings: "B-open", machine: "Machine B", coil: { length_cm: 24, width_cm: 24, winding: "concentric" }, discrimination: "none" },
  ],
};
type SettingsName = "A-open" | "A-quiet" | "B-open";
const coilCm: Record<SettingsName, number> = { "A-open": 28, "A-quiet": 28, "B-open": 24 };

// ---- objects: phase lag in degrees, loudness beside the copper disc, radius or half width as laid ------------------
interface Thing {
  readonly what: string;
  readonly metal: "ferrous" | "non-ferrous";
  readonly phaseDeg: number;
  readonly loudness: number;
  readonly halfCm: number;
}
const thing = (what: string, metal: Thing["metal"], phaseDeg: number, loudness: number, halfCm: number): Thing => ({
  what,
  metal,
  phaseDeg,
  loudness,
  halfCm,
});
const disc = thing("copper disc", "non-ferrous", 171, 1, 1.2);
const ball = thing("lead ball", "non-ferrous", 134, 0.7, 0.75);
const buckle = thing("brass buckle", "non-ferrous", 157, 1.1, 1.4);
const foil = thing("folded foil", "non-ferrous", 106, 0.5, 1);
const scrap = thing("lead scrap", "non-ferrous", 125, 0.9, 1.2);
const smallNail = thing("small hand-forged nail", "ferrous", 31, 0.35, 0.15);
const mediumNail = thing("medium hand-forged nail", "ferrous", 35, 1.25, 0.2);
const largeNail = thing("large hand-forged nail", "ferrous", 41, 2.6, 0.3);
const slag = thing("iron slag lump", "ferrous", 48, 1, 1.5);
const ring = thing("iron ring", "ferrous", 92, 1.6, 1.8);
const sheet = thing("rusted sheet piece", "ferrous", 112, 2.2, 2.5);

interface Laid {
  readonly thing: Thing;
  readonly xCm: number;
  readonly factor: number;
}

// One pass: the two signals added in the plane of phase a little after the coil's middle has passed the spot, and the phase
// mapped to the scale. null where the machine stays silent.
function readPass(draw: Chance, laid: readonly Laid[], settings: SettingsName, direction: 1 | -1, depthCm: number): number | null {
  const width = kernelHalfWidthCm(coilCm[settings], depthCm);
  const at = direction * 0.8 + 1.1 * draw.normal();
  let re = 0, im = 0;
  for (const { thing, xCm, factor } of laid) {
    const loud = thing.loudness * factor * 2 ** -(((xCm - at) / width) ** 2) * 2 ** ((8 - depthCm) / 3);
    re += loud * Math.cos(thing.phaseDeg * Math.PI / 180);
    im += loud * Math.sin(thing.phaseDeg * Math.PI / 180);
  }
  re += 0.022 * draw.normal();
  im += 0.022 * draw.normal();
  if (Math.hypot(re, im) < 0.12 || draw.next() < 0.02) return null;
  const phase = Math.min(180, Math.max(0, Math.atan2(im, re) * 180 / Math.PI));
  const { low, high, step } = (settings === "B-open" ? machines.machines[1] : machines.machines[0])!.scale;
  const reading = low + Math.round((high - low) * phase / 180 / step) * step;
  return settings === "A-quiet" && reading < 210 ? null : reading;
}
const cell = (passes: readonly (number | null)[]): string => passes.map((p) => p === null ? "x" : String(p)).join(" ");
const readCell = (draw: Chance, n: number, laid: readonly Laid[], settings: SettingsName, direction: 1 | -1, depthCm: number) =>
  Array.from({ length: n }, () => readPass(draw, laid, settings, direction, depthCm));
const median = (values: readonly number[]): number | null => {
  if (values.length === 0) return null;
  const sorted = [...values].sort((a, b) => a - b);
  const middle = sorted.length >> 1;
  return sorted.length % 2 ? sorted[middle]! : (sorted[middle - 1]! + sorted[middle]!) / 2;
};
const pick = <T>(draw: Chance, items: readonly (readonly [T, number])[]): T => {
  let left = draw.next() * items.reduce((sum, [, weight]) => sum + weight, 0);
  for (const [item, weight] of items) {
    left -= weight;
    if (left < 0) return item;
  }
  return items.at(-1)![0];
};
const dayAfter = (start: string, days: number): string =>
  new Date(Date.parse(`${start}T00:00:00Z`) + days * 86400000).toISOString().slice(0, 10);

// ---- the garden -----------------------------------------------------------------------------------------------------------------
const gardenHeadings = [
  "trial_id", "block", "run_order", "date", "settings", "spot", "medium", "target", "target_size_mm", "depth_cm", "coil_height_cm",
  "neighbour", "neighbour_kind", "neighbour_length_mm", "neighbour_thickness_mm", "neighbour_count", "side", "neighbour_heading_deg",
  "neighbour_tilt_deg", "gap_cm", "height_difference_cm", "readings_right", "readings_left", "readings_cross", "blind", "notes",
];
function makeGarden(): Row[] {
  const rows: Row[] = [];
  const kinds = new Map<Thing, Row>([
    [smallNail, { neighbour: "small nail", neighbour_kind: "nail", neighbour_length_mm: "32", neighbour_thickness_mm: "3" }],
    [mediumNail, { neighbour: "medium nail", neighbour_kind: "nail", neighbour_length_mm: "58", neighbour_thickness_mm: "4" }],
    [largeNail, { neighbour: "large nail", neighbour_kind: "nail", neighbour_length_mm: "95", neighbour_thickness_mm: "6" }],
    [foil, { neighbour: "folded foil", neighbour_kind: "foil", neighbour_length_mm: "20", neighbour_thickness_mm: "20" }],
  ]);
  const near = [0.5, 1, 1.5, 2, 2.5, 3, 4], far = [5, 6, 7, 8, 10, 12, 15];
  const plan = (block: number): [Thing, Thing, number][] => {
    const low = (shift: number) => near[(block * 3 + shift) % 7]!;
    const high = (shift: number) => far[(block * 2 + shift) % 7]!;
    if (block >= 14) {
      return [
        [buckle, mediumNail, low(0)], [buckle, mediumNail, high(0)], [buckle, largeNail, low(2)], [buckle, largeNail, high(3)],
        [disc, largeNail, low(4)], [disc, largeNail, high(5)], [disc, mediumNail, low(5)],
      ];
    }
    return [
      [disc, smallNail, low(0)], [disc, smallNail, high(0)], [disc, mediumNail, low(1)], [disc, mediumNail, high(1)],
      [disc, largeNail, low(2)], [disc, largeNail, high(2)], [disc, foil, low(3)], [disc, foil, high(3)],
      [ball, mediumNail, low(4)], [ball, largeNail, high(4)],
    ];
  };
  let number = 0;
  for (let block = 0; block < 20; block++) {
    const draw = chance(SEED, "demo/garden", block);
    const settings: SettingsName = block < 14 ? "A-open" : "B-open";
    const depthCm = [8, 8, 12, 8, 10][block % 5]!;
    const laid = plan(block);
    const trials: [Thing | null, Thing | null, number | null][] = [
      ...[...new Set(laid.map(([target]) => target))].map((target) => [target, null, null] as [Thing, null, null]),
      ...[...new Set(laid.map(([, neighbour]) => neighbour))].map((neighbour) => [null, neighbour, null] as [null, Thing, null]),
      ...laid,
    ];
    const factors = new Map([...kinds.keys()].map((kind) => [kind, Math.exp(0.08 * draw.normal())]));
    draw.shuffle(trials).forEach(([target, neighbour, gapCm], order) => {
      number++;
      const side = pick(draw, [["left", 5], ["right", 5], ["both", gapCm !== null && neighbour === smallNail ? 3 : 0]] as const);
      const objects: Laid[] = [];
      if (target) objects.push({ thing: target, xCm: 0, factor: 1 });
      if (neighbour) {
        const centre = target && gapCm !== null ? gapCm + target.halfCm + neighbour.halfCm : 0;
        const factor = factors.get(neighbour)!;
        if (side !== "right") objects.push({ thing: neighbour, xCm: -centre, factor });
        if (side !== "left") objects.push({ thing: neighbour, xCm: centre, factor: target ? factor : 0 });
        if (!target && side === "right") objects.push({ thing: neighbour, xCm: 0, factor });
      }
      const crossed = objects.map((o) => ({ ...o, xCm: o.thing === target ? 0 : o.xCm * 0.9 }));
      rows.push({
        trial_id: `T${String(number).padStart(3, "0")}`,
        block: `B${String(block + 1).padStart(2, "0")}`,
        run_order: String(order + 1),
        date: dayAfter("2025-02-01", block * 2),
        settings,
        spot: ["bed 1", "bed 2", "bed 3"][block % 3]!,
        medium: "fresh-hole",
        target: target ? target.what : "none",
        target_size_mm: target ? String(Math.round(target.halfCm * 20)) : "",
        depth_cm: String(depthCm),
        coil_height_cm: "2",
        ...(neighbour ? kinds.get(neighbour)! : { neighbour: "none" }),
        neighbour_count: neighbour ? (side === "both" ? "2" : "1") : "",
        side: target && neighbour ? side : "",
        neighbour_heading_deg: neighbour && neighbour !== foil ? "90" : "",
        neighbour_tilt_deg: neighbour && neighbour !== foil ? "20" : "",
        gap_cm: gapCm === null ? "" : String(gapCm),
        height_difference_cm: gapCm === null ? "" : "0",
        readings_right: cell(readCell(draw, 5, objects, settings, 1, depthCm)),
        readings_left: cell(readCell(draw, 5, objects, settings, -1, depthCm)),
        readings_cross: number % 3 === 0 ? cell(readCell(draw, 3, crossed, settings, 1, depthCm)) : "",
        blind: pick(draw, [["no", 3], ["yes", 1]] as const),
        notes: "",
      });
    });
  }
  rows[40]!.notes = "Wind moved the string, gap measured again";
  rows[77]!.gap_cm = "about 3"; // stray text in a number column: rejected
  rows[120]!.coil_height_cm = "";
  return rows;
}

// ---- the season --------------------------------------------------------------------------------------------------------------
const sites: [name: string, iron: number, outings: number][] = [
  ["Lower ferry landing", 0.75, 4], ["Upper ferry landing", 0.55, 3], ["Drovers' stance", 0.35, 3], ["Brickyard bank", 0.85, 3],
  ["Kiln close", 0.7, 2], ["Osier strip", 0.2, 2], ["Toll cottage field", 0.5, 3], ["Hay wharf", 0.6, 2], ["Sheepwash meadow", 0.25, 1],
];
const FINDS = 3;
const digHeadings = [
  "signal_id", "outing_id", "date", "site", "settings", "observer", "readings_right", "readings_left", "readings_cross", "both_ways",
  "after_turn", "spot_moves", "iron_near", "tone_heard", "depth_indicated", "my_call", "dug", "stopped_why", "result", "iron_evidence",
  "after_dig",
  ...Array.from({ length: FINDS }, (_, i) => ["what", "metal", "keep", "depth_cm", "readings_alone"].map((f) => i ? `${f}_${i + 1}` : f)).flat(),
  "notes",
];
function makeSeason(): Row[] {
  const rows: Row[] = [];
  const outings = sites.flatMap(([site, iron, count]) => Array.from({ length: count }, () => ({ site, iron })));
  const order = chance(SEED, "demo/outings").shuffle(outings);
  const goods: [Thing, number][] = [[disc, 4], [ball, 3], [buckle, 2]];
  const nails: [Thing, number][] = [[smallNail, 4], [mediumNail, 4], [largeNail, 2]];
  order.forEach(({ site, iron }, outing) => {
    for (let spot = 0; spot < 21; spot++) {
      const draw = chance(SEED, "demo/signal", outing * 21 + spot);
      const settings: SettingsName = outing % 4 === 3 ? "B-open" : outing % 9 === 5 ? "A-quiet" : "A-open";
      const observer = outing % 3 === 1 ? "Bram" : "Ines";
      const kind = pick(draw, [["iron", 0.2 + 0.75 * iron], ["high iron", 0.08 + 0.04 * iron], ["good", 0.13], ["rubbish", 0.1],
        ["masked", 0.06 + 0.1 * iron], ["hazard", 0.006]] as const);
      const depthCm = Math.min(20, Math.max(3, Math.round(9 + 3.2 * draw.normal())));
      const factor = () => Math.exp(0.35 * draw.normal());
      const laid: Laid[] = [];
      const put = (thing: Thing, xCm: number) => laid.push({ thing: { ...thing, phaseDeg: thing.phaseDeg + 4 * draw.normal() }, xCm, factor: factor() });
      if (kind === "iron") {
        put(pick(draw, [...nails, [slag, 2]]), 0);
        while (draw.next() < 0.35 * iron + 0.1 && laid.length < 3) put(pick(draw, nails), 5 * draw.normal());
      } else if (kind === "high iron") put(pick(draw, [[ring, 1], [sheet, 1]]), 0);
      else if (kind === "good") put(pick(draw, goods), 0);
      else if (kind === "rubbish") put(pick(draw, [[foil, 3], [scrap, 2]]), 0);
      else if (kind === "masked") {
        put(pick(draw, goods), 0);
        put(pick(draw, nails), (draw.next() < 0.5 ? -1 : 1) * (1.5 + 5 * draw.next()));
        if (draw.next() < 0.3) put(pick(draw, nails), 6 * draw.normal());
      } else put(thing("old unfired cartridge", "non-ferrous", 150, 1.2, 1), 0);

      const passes = 3 + draw.integer(4);
      const right = readCell(draw, passes, laid, settings, 1, depthCm);
      const left = readCell(draw, passes - draw.integer(2), laid, settings, -1, depthCm);
      const turned = laid.map((l, i) => ({ ...l, xCm: i === 0 ? 0 : l.xCm * Math.abs(Math.cos(3 * draw.next())) }));
      const cross = draw.next() < 0.55 ? readCell(draw, 2 + draw.integer(2), turned, settings, 1, depthCm) : null;
      const given = [...right, ...left].filter((r): r is number => r !== null);
      const usual = median(given);
      if (given.length === 0) continue; // nothing was heard, so nothing was written down
      const machine = machines.machines[settings === "B-open" ? 1 : 0]!;
      const band = (reading: number) => machine.tones.bands[machine.tones.breaks.filter((b) => b <= reading).length]!.name;
      const share = given.filter((r) => r < machine.iron_break).length / given.length;
      const row: Row = {
        signal_id: `S${String(rows.length + 1).padStart(4, "0")}`,
        outing_id: `O${String(outing + 1).padStart(2, "0")}`,
        date: dayAfter("2025-03-08", outing * 8 + (outing % 3)),
        site,
        settings,
        observer,
        readings_right: cell(right),
        readings_left: cell(left),
        readings_cross: cross ? cell(cross) : "",
        both_ways: draw.next() < 0.1 ? "not-tried" : right.some((r) => r !== null) && left.some((r) => r !== null) ? "yes" : "no",
        after_turn: cross === null
          ? "not-tried"
          : cross.every((r) => r === null)
          ? "gone"
          : Math.abs(median(cross.filter((r): r is number => r !== null))! - usual!) > (machine.scale.high - machine.scale.low) / 15
          ? "changes"
          : "holds",
        spot_moves: draw.next() < 0.3 ? "not-tried" : draw.next() < (laid.length > 1 ? 0.55 : 0.12) ? "yes" : "no",
        iron_near: draw.next() < 0.15 ? "not-looked" : pick(draw, [["none", 1 - iron], ["some", 0.5], ["full", iron]] as const),
        tone_heard: band(usual!),
        depth_indicated: observer === "Bram"
          ? (depthCm < 7 ? "shallow" : depthCm < 13 ? "middle" : "deep")
          : String(Math.max(2, Math.round((depthCm + 1.5 * draw.normal()) / 2) * 2)),
        my_call: draw.next() < 0.12 ? "cannot-say" : share + 0.2 * draw.normal() < 0.45 ? "good" : "iron",
      };
      rows.push(row);
      const dig = draw.next() < (share < 0.2 ? 0.92 : share < 0.8 ? 0.85 : 0.68);
      if (!dig) {
        row.dug = "no";
        continue;
      }
      if (kind === "hazard") {
        Object.assign(row, { dug: "yes", result: "found", iron_evidence: "none", after_dig: "still-sounds", what: "old unfired cartridge, left where it lay and reported",
          metal: "not-sure", keep: "hazard", depth_cm: String(depthCm) });
        continue;
      }
      if (draw.next() < 0.035) {
        Object.assign(row, { dug: "stopped", stopped_why: pick(draw, [["roots", 3], ["depth", 3], ["stones", 1], ["water", 2], ["time", 2]]) });
        continue;
      }
      row.dug = "yes";
      if (draw.next() < 0.045) {
        Object.assign(row, { result: "nothing-found", iron_evidence: "none", after_dig: pick(draw, [["quiet", 1], ["still-sounds", 2]]) });
        continue;
      }
      if (draw.next() < 0.03) {
        Object.assign(row, { result: "not-identified", iron_evidence: "not-looked", what: "crumb of something", metal: "not-sure", keep: "no" });
        continue;
      }
      row.result = "found";
      row.after_dig = pick(draw, [["quiet", 5], ["still-sounds", iron]]);
      row.iron_evidence = kind === "masked"
        ? pick(draw, [["touching", 4], ["in-plug", 5], ["in-hole", 1], ["not-looked", 1]])
        : kind === "iron" || kind === "high iron"
        ? pick(draw, [["in-hole", 4], ["in-plug", 3], ["stain", 1]])
        : pick(draw, [["none", 6], ["stain", 0.5 * iron], ["in-hole", iron], ["not-looked", 2]]);
      laid.slice(0, FINDS).forEach(({ thing, factor }, i) => {
        const tag = i ? `_${i + 1}` : "";
        row[`what${tag}`] = thing.what;
        row[`metal${tag}`] = draw.next() < 0.02 ? "not-sure" : thing.metal;
        const keep = [disc, ball, buckle].some((g) => g.what === thing.what);
        row[`keep${tag}`] = keep ? "yes" : "no";
        row[`depth_cm${tag}`] = String(Math.max(2, depthCm + Math.round(draw.normal())));
        if (keep && draw.next() < 0.6) row[`readings_alone${tag}`] = cell(readCell(draw, 4, [{ thing, xCm: 0, factor }], settings, draw.next() < 0.5 ? 1 : -1, 4));
      });
    }
  });
  makeMess(rows);
  return rows;
}

// What people write: some of it is legal, some of it the loader must refuse and name.
function makeMess(rows: Row[]): void {
  const draw = chance(SEED, "demo/mess");
  for (const row of rows) {
    for (const field of ["spot_moves", "iron_near", "tone_heard", "depth_indicated", "my_call", "observer", "after_dig"]) {
      if (draw.next() < 0.04) row[field] = "";
    }
    const given = (row.readings_right ?? "").split(" ").filter((p) => p !== "x").map(Number);
    const chanceOf = draw.next();
    if (given.length < 2) continue;
    const low = Math.min(...given), high = Math.max(...given);
    if (chanceOf < 0.015 && low >= 0 && low < high) row.readings_right = `${low}-${high}`;
    else if (chanceOf < 0.03) row.readings_right = `${Math.round(given[0]! / 10) * 10}ish`;
    else if (chanceOf < 0.05) row.readings_left = "";
    else if (chanceOf < 0.07) row.readings_right = row.readings_right!.replaceAll(" ", ", ");
    else if (chanceOf < 0.09) row.notes = pick(draw, [["Wet clay, coil \"bumped\" once", 1], ["After ploughing", 1], ["Dog ran over the plug", 1], ["Read again, the same", 1]]);
  }
  const dug = rows.filter((r) => r.result === "found" && r.depth_cm && r.settings === "A-open");
  dug[20]!.depth_cm = "a hand deep"; // text in a number column
  dug[61]!.readings_right = "255 1512 261"; // outside the scale
  dug[90]!.dug = "maybe"; // a word the field does not know
  dug[118]!.date = "31.02.2025"; // no such day
  rows.splice(303, 0, { ...rows[302]!, notes: "Written down twice" }); // one id twice
  rows.splice(201, 0, {}); // a blank row
}

// ---- files -------------------------------------------------------------------------------------------------------------------------------
const quote = (text: string): string => /[",\n\r]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
const csv = (headings: readonly string[], rows: readonly Row[]): string =>
  [headings, ...rows.map((row) => headings.map((h) => row[h] ?? ""))].map((cells) => cells.map(quote).join(",") + "\n").join("");

const files: [string, string][] = [
  ["demo/machines.json", JSON.stringify(machines, null, 2) + "\n"],
  ["demo/garden-log.csv", csv(gardenHeadings, makeGarden())],
  ["demo/dig-log.csv", csv(digHeadings, makeSeason())],
];
await Deno.mkdir(new URL("demo/", here), { recursive: true });
for (const [name, text] of files) await Deno.writeTextFile(new URL(name, here), text);

// ---- the descriptor: a Data Package whose checksums are those of the files just written ------------------------------------------
const hex = async (text: string): Promise<string> =>
  [...new Uint8Array(await crypto.subtle.digest("SHA-256", new TextEncoder().encode(text)))].map((b) => b.toString(16).padStart(2, "0")).join("");
const about: Record<string, [name: string, title: string, format: string, mediatype: string]> = {
  "demo/dig-log.csv": ["demo-dig-log", "Invented season, a row a signal", "csv", "text/csv"],
  "demo/garden-log.csv": ["demo-garden-log", "Invented test garden, a row a trial", "csv", "text/csv"],
  "demo/machines.json": ["demo-machines", "Two invented machines and their settings sets", "json", "application/json"],
};
const resources = [];
for (const [path, text] of [...files].sort(([a], [b]) => a < b ? -1 : 1)) {
  const [name, title, format, mediatype] = about[path]!;
  const bytes = new TextEncoder().encode(text).length;
  const table = format === "csv"
    ? { type: "table", schema: { fields: text.slice(0, text.indexOf("\n")).split(",").map((name) => ({ name, type: "string" })), missingValues: [""] } }
    : {};
  resources.push({ name, path, title, format, mediatype, encoding: "utf-8", bytes, hash: `sha256:${await hex(text)}`, ...table });
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
await Deno.writeTextFile(new URL("datapackage.json", here), JSON.stringify(descriptor, null, 2) + "\n");
