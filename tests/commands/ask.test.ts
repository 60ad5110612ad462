import { expect, test } from "vitest";
import { askAt } from "../../lib/commands/_ask.ts";
import { tame } from "../../lib/commands/_tame.ts";
import type { MappingQuestion } from "../../lib/log/mod.ts";

const question: MappingQuestion = {
  id: "order Date",
  heading: "Date",
  text: 'Is the day or the month first in "Date"?',
  samples: ["3/4/2025", "evil \u001b[2J\u009b"],
  options: [
    { label: "day first", patch: { columns: [{ heading: "Date", order: "day-month-year" }] } },
    { label: "month first", patch: { columns: [{ heading: "Date", order: "month-day-year" }] } },
  ],
};
const terminal = (...lines: string[]) => {
  let written = "";
  return {
    read: () => lines.shift() ?? null,
    write: (text: string) => void (written += text),
    seen: () => written,
  };
};

test("askAt() takes a number, asks again after anything else, and stops at q or the end", () => {
  const asked = terminal("day", "0", "3", " 2 ");
  expect(askAt(asked, question)).toEqual(question.options[1]!.patch);
  expect(asked.seen().match(/Answer with a number from 1 to 2/g)?.length).toBe(4);
  expect(asked.seen()).toContain('noted in "columns": { "heading": "Date", "order": "month-day-year" }');
  expect(askAt(terminal("Q"), question)).toBe(null);
  expect(askAt(terminal(), question)).toBe(null);
});

test("askAt() takes words where a constant is asked for", () => {
  const place = { ...question, options: [], constant: "site" };
  expect(askAt(terminal("", "Top field"), place)).toEqual({ constants: { site: "Top field" } });
});

test("askAt() lets no cell of a log steer the terminal", () => {
  const asked = terminal("1");
  askAt(asked, question);
  // deno-lint-ignore no-control-regex
  expect(asked.seen()).not.toMatch(/[\u0000-\u0009\u000b-\u001f\u007f-\u009f]/);
  expect(tame("a\u001bb\nc")).toBe("a\ufffdb\nc");
});
