import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { z } from "zod";
import {
  columnMappingSchema,
  dataDictionary,
  FIELDS,
  loadDigLog,
  mappingText,
  parseMapping,
  tableSchema,
} from "../../lib/log/mod.ts";
import { MAPPING_EXAMPLE } from "../../lib/log/mapping_example.ts";
import { file, machines } from "./_helpers.ts";

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

test("dataDictionary() says what every key of a mapping file means", () => {
  const text = dataDictionary();
  interface Node {
    readonly meaning?: string;
    readonly properties?: Readonly<Record<string, Node>>;
    readonly items?: Node;
  }
  const keys: string[] = [];
  const walk = (node: Node, path: string): void => {
    const of = node.items ?? node;
    for (const [name, child] of Object.entries(of.properties ?? {})) {
      const key = `${path}${name}`;
      expect([key, (child.meaning ?? "").length > 10]).toEqual([key, true]);
      expect(text).toContain(`| \`${key}\` |`);
      keys.push(key);
      walk(child, `${key}${child.items === undefined ? "" : "[]"}.`);
    }
  };
  walk(z.toJSONSchema(columnMappingSchema, { io: "input" }) as Node, "");
  expect(keys).toContain("columns[].depth_order");
  expect(keys).toContain("rule.repeat_limits");
});

test("dataDictionary() shows a foreign log and a mapping file, and the log loads with it as the text says", async () => {
  const text = dataDictionary();
  expect(text).toContain(MAPPING_EXAMPLE.log);
  expect(text).toContain(MAPPING_EXAMPLE.mapping);
  const { season, report } = await loadDigLog(file(MAPPING_EXAMPLE.log), machines, {
    columns: parseMapping(MAPPING_EXAMPLE.mapping),
  });
  expect(report.rejected).toEqual([]);
  expect(
    season.signals.map((
      { signal_id, date, site, machine, right, left, depth_indicated, dug, finds, outcome },
    ) => ({
      signal_id,
      where: [date, site, machine],
      right: [right?.readings, right?.silent],
      left: [left?.readings, left?.silent],
      depth_indicated,
      dug,
      finds: finds.map(({ what, metal, keep }) => [what, metal, keep]),
      outcome: outcome.class ?? outcome.status,
    })),
  ).toEqual([
    {
      signal_id: "1",
      where: ["2025-03-08", "Ferry meadow", "Machine A"],
      right: [[412, 415], 1],
      left: [[410], 0],
      depth_indicated: 10.16,
      dug: "yes",
      finds: [["brass buckle", "non-ferrous", "yes"]],
      outcome: "non-ferrous",
    },
    {
      signal_id: "2",
      where: ["2025-03-08", "Ferry meadow", "Machine A"],
      right: [[], 1],
      left: [[102, 98], 0],
      depth_indicated: null,
      dug: "yes",
      finds: [["nail", "ferrous", "no"], ["foil", "non-ferrous", "no"]],
      outcome: "non-ferrous",
    },
    {
      signal_id: "3",
      where: ["2025-03-09", "Old kiln", "Machine A"],
      right: [[300, 300, 300], 0],
      left: [[305], 0],
      depth_indicated: 6.35,
      dug: "no",
      finds: [],
      outcome: "not-dug",
    },
  ]);
  expect(parseMapping(mappingText(parseMapping(MAPPING_EXAMPLE.mapping)))).toEqual(
    parseMapping(MAPPING_EXAMPLE.mapping),
  );
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
