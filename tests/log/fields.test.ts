import { expect, test } from "vitest";
import { fieldOf, FIELDS } from "../../lib/log/mod.ts";

test("FIELDS states each field once a table, with a meaning that is a sentence", () => {
  for (const [table, fields] of Object.entries(FIELDS)) {
    expect(new Set(fields.map((field) => field.name)).size, table).toBe(fields.length);
    for (const field of fields) {
      expect(field.meaning, field.name).toMatch(/^[A-Z0-9].*\.$/);
      expect(field.kind === "word" || field.kind === "open-word" || field.kind === "depth", field.name).toBe(
        field.words.length > 0,
      );
      expect(field.name).toMatch(/^[a-z][a-z_]*$/);
    }
  }
});

test("FIELDS names the unit of each physical quantity in the field or beside it", () => {
  for (const field of Object.values(FIELDS).flat()) {
    if (/_(cm|mm|deg)$/.test(field.name)) expect(field.unit, field.name).not.toBe(null);
  }
});

test("FIELDS holds back what points at a place, a person or a day", () => {
  const heldBack = Object.values(FIELDS).flat().filter((field) => field.publish === "held back").map((
    field,
  ) => field.name);
  expect([...new Set(heldBack)].sort()).toEqual([
    "ended_at",
    "latitude",
    "longitude",
    "notes",
    "reported",
    "seen_at",
    "site_private",
    "started_at",
    "what",
  ]);
  for (
    const [table, name] of [["outing", "site"], ["outing", "date"], ["trial", "tried_at"], [
      "signal",
      "tone_heard",
    ]] as const
  ) {
    expect(fieldOf(table, name).publish).toBe("coarsened");
  }
});

test("FIELDS knows no fact of the hole before the hole", () => {
  const after = FIELDS.signal.filter((field) => field.known === "after").map((field) => field.name);
  expect(after).toEqual(["dug", "stopped_why", "result", "iron_evidence", "after_dig", "outcome_stated"]);
  expect(FIELDS.find.filter((field) => field.known === "before")).toEqual([]);
});

test("fieldOf() names what it was asked for when there is none", () => {
  expect(() => fieldOf("signal", "colour")).toThrow(
    new RangeError('Cannot give a field: signal has none of that name, got "colour"'),
  );
});
