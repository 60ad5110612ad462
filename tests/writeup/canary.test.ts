import { gunzipSync, unzipSync, unzlibSync } from "fflate";
import { expect, test } from "vitest";
import { csvText, FIELDS } from "../../lib/log/mod.ts";
import { filesOf } from "../commands/_season.ts";
import { plainCells, smallProject, smallWriteUp } from "./_small_write_up.ts";

// One place in several notations, all invented.
const places = [
  "47.65432",
  "-12.34567",
  "47°39'15.6\"N",
  "12° 20.740' W",
  "QX 38921 77321",
  "QX3892177321",
  "29Q 412345 5271234",
  "u09tunq",
];

/** Bytes as text, and what is packed in them: archives, compressed streams and base64. */
function layers(text: string, depth = 0): string[] {
  const found = [text];
  if (depth > 3) return found;
  const bytes = Uint8Array.from(text, (letter) => letter.charCodeAt(0) & 255);
  const latin = (inner: Uint8Array): string => new TextDecoder("latin1").decode(inner);
  for (
    const unpack of [
      () => Object.values(unzipSync(bytes)),
      () => [gunzipSync(bytes)],
      () => [unzlibSync(bytes)],
    ]
  ) {
    try {
      for (const inner of unpack()) found.push(...layers(latin(inner), depth + 1));
    } catch {
      // Not packed that way.
    }
  }
  for (const [run] of text.matchAll(/[A-Za-z0-9+/]{24,}={0,2}/g)) {
    try {
      found.push(...layers(atob(run), depth + 1));
    } catch {
      // Letters and digits that are no base64.
    }
  }
  return found;
}

test("a place written into any field of the log, in any notation, is in no byte of the write-up", async () => {
  const names = [...new Set([...FIELDS.signal, ...FIELDS.outing, ...FIELDS.find].map(({ name }) => name))];
  const free = names.filter((name) =>
    !["signal_id", "machine", "settings", "readings_right", "readings_left"].includes(name)
  );
  const head = ["signal_id", "machine", "readings_right", "readings_left", ...free, "gps_track", "device"];
  const texts = new Set([
    "site",
    "observer",
    "notes",
    "what",
    "ground",
    "moisture",
    "tone_heard",
    "rule_version",
    "stopped_why",
    "hole_id",
    "outing_id",
    "find_id",
    "order",
    "seen_at",
  ]);
  const sound = places.map((place, i) => [
    `s${place}`,
    "Machine A",
    `${400 + i}`,
    "x 405",
    ...free.map((name) =>
      name === "latitude"
        ? "47.65432"
        : name === "longitude"
        ? "-12.34567"
        : texts.has(name) && !["order", "seen_at"].includes(name)
        ? place
        : ""
    ),
    place,
    place,
  ]);
  // And one row a field, which may be rejected for it: what is rejected must not get out either.
  const faulty = free.slice(0, 12).map((name, i) => [
    `f${i}`,
    "Machine A",
    "300",
    "301",
    ...free.map((each) => each === name ? places[i % places.length]! : each === "site" ? "a" : ""),
    "",
    "",
  ]);
  const good = Array.from(
    { length: 20 },
    (_, i) => [`g${i}`, "Machine A", "200", "201", ...free.map((each) => each === "site" ? "a" : ""), "", ""],
  );
  const root = await smallProject({ plain: [...plainCells, "console.log(text)"] });
  try {
    const made = await smallWriteUp(root, {}, csvText([head, ...sound, ...faulty, ...good]));
    expect(made.failures).toEqual([]);
    const files = filesOf(`${root}/out`);
    const key = [...filesOf(`${root}/out.rejected`).values()].join("\n");
    expect(key).toContain("47.65432");
    const cache = filesOf(`${root}/.overiron/cache`);
    for (const [name, text] of [...files, ...cache]) {
      const all = layers(text).join("\n");
      for (const place of places) expect(`${name}: ${all.includes(place) ? place : ""}`).toBe(`${name}: `);
    }
    // The look inside does find what is packed.
    expect(layers(btoa(`a place, ${places[0]}, packed away`)).join()).toContain(places[0]);
  } finally {
    await Deno.remove(root, { recursive: true });
  }
});
