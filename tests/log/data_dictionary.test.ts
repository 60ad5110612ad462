import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { dataDictionary, FIELDS, tableSchema } from "../../lib/log/mod.ts";

test("dataDictionary() names every field, word and rule", () => {
  const text = dataDictionary();
  for (const field of Object.values(FIELDS).flat()) {
    expect(text).toContain(`| \`${field.name}\` |`);
    for (const word of field.words) expect(text).toContain(word);
  }
  for (
    const entry of [
      "machines[].scale.step",
      "machines[].tones.bands[].pitch_hz",
      "settings[].coil.winding",
      "settings[].discrimination",
    ]
  ) {
    expect(text).toContain(`| \`${entry}\` |`);
  }
});

test("datasets/DATA_DICTIONARY.md is what dataDictionary() writes", () => {
  // After a change of fields: deno task data-dictionary.
  expect(readFileSync(new URL("../../datasets/DATA_DICTIONARY.md", import.meta.url), "utf8")).toBe(
    dataDictionary(),
  );
});

test("tableSchema() carries types, limits, words and meaning", () => {
  const schema = tableSchema(FIELDS.signal, { primaryKey: "signal_id" });
  const byName = new Map(schema.fields.map((field) => [field.name, field]));
  expect(byName.get("signal_id")).toMatchObject({
    type: "string",
    constraints: { required: true, unique: true },
  });
  expect(byName.get("latitude")).toMatchObject({
    type: "number",
    constraints: { minimum: -90, maximum: 90 },
    unit: "degrees",
  });
  expect(byName.get("my_call")).toMatchObject({
    type: "string",
    constraints: { enum: ["good", "iron", "cannot-say"] },
    whenKnown: "before",
  });
  expect(schema.primaryKey).toEqual(["signal_id"]);
  expect(schema.missingValues).toEqual([""]);
  expect(tableSchema(FIELDS.outing, { published: true }).fields.find((field) => field.name === "date")?.type)
    .toBe("yearmonth");
});
