import { createHash } from "node:crypto";
import { beforeAll, describe, expect, test } from "vitest";
import type { FieldRules } from "../../lib/decide/mod.ts";
import { type MachinesFile, parseMachines } from "../../lib/log/mod.ts";
import { baseRates } from "../../lib/model/mod.ts";
import { phonePage } from "../../lib/writeup/phone_page.ts";

const root = Deno.env.get("OVERIRON_ROOT") ?? Deno.cwd();
const machines: MachinesFile = parseMachines(
  await Deno.readTextFile(`${root}/datasets/demo/machines.json`),
);

/** A rule for each of some machines, of base rates: what the page does with a rule does not hang on what it has learnt. */
function rulesFor(...names: string[]): FieldRules {
  const group = Int32Array.of(0, 0, 0);
  const x = {
    n: 3,
    names: [],
    columns: [],
    whyMissing: [],
    groups: { site: group, outing: group, observer: group },
  };
  const model = baseRates().fit(x, Uint8Array.of(0, 1, 2), { seed: 1 }).toJSON();
  const cells = [[{ ferrous: 314159, good: 1 }]];
  return {
    schema: "overiron-field-rules/1",
    machines: machines as FieldRules["machines"],
    leftOut: [],
    rules: names.map((machine) => ({
      version: "r0123456789",
      machine,
      discrimination: "none",
      settings: ["A-open"],
      engine: "base rates",
      model,
      repeatNoise: 3,
      learntFrom: { signals: 3, ferrous: 1, nonFerrous: 1, maskedGood: 1, sites: 1 },
      classes: "three",
      sets: { miss: 0.1, thresholds: [null, null, null] },
      centres: null,
      months: null,
      ground: [],
      moisture: [],
      card: { readingBreaks: [], spreadBreaks: [], cells },
      stepCard: { readingBreaks: [], spreadBreaks: [], cells },
    })),
  };
}

/** What the page was made with, out of its script. */
const kitIn = (html: string): { machines: MachinesFile; rules: { machine: string }[] } =>
  JSON.parse(JSON.parse(/page\.start\(JSON\.parse\((".*")\)\);/.exec(html)![1]!));

describe("phonePage()", () => {
  let html = "";
  beforeAll(async () => {
    html = await phonePage({ machines, rules: rulesFor("Machine A", "Machine C") });
  });
  test("the same parts give the same bytes", async () => {
    expect(await phonePage({ machines, rules: rulesFor("Machine A", "Machine C") })).toBe(html);
  });
  test("its policy names the one script and the one style by their own hashes, and lets nothing else in", () => {
    const policy = /Content-Security-Policy" content="([^"]+)"/.exec(html)![1]!;
    for (const [tag, directive] of [["script", "script-src"], ["style", "style-src"]]) {
      const parts = [...html.matchAll(new RegExp(`<${tag}>([\\s\\S]*?)</${tag}>`, "g"))];
      expect(parts).toHaveLength(1);
      const hash = createHash("sha256").update(parts[0]![1]!).digest("base64");
      expect(policy).toContain(`${directive} 'sha256-${hash}'`);
    }
    expect(policy).toMatch(/^default-src 'none';/);
    expect(policy).not.toMatch(/https?:|unsafe|\*/);
    expect(html).not.toMatch(/\b(?:src|href)="(?!data:)/);
  });
  test("carries the rules of machines described only, without the counts of their cards", () => {
    expect(kitIn(html).rules.map(({ machine }) => machine)).toEqual(["Machine A"]);
    expect(html).not.toContain("314159");
  });
  test("takes no worth of a good find for granted, and carries the person's own where they named it", async () => {
    const worthIn = (page: string) => (kitIn(page) as unknown as { worth: number | null }).worth;
    expect(worthIn(html)).toBeNull();
    expect(worthIn(await phonePage({ machines, rules: rulesFor("Machine A"), worth: 7 }))).toBe(7);
  });
  test("leaves a person's notes at home, and takes names with signs of markup for text", async () => {
    const odd = '</script><b>"\u2028<!--';
    const own: MachinesFile = {
      ...machines,
      machines: machines.machines.map((each) => ({ ...each, notes: "bought from a neighbour" })),
      settings: machines.settings.map((each, i) => ({
        ...each,
        notes: "by the oak",
        ...(i === 0 ? { settings: odd } : {}),
      })),
    };
    const made = await phonePage({ machines: own });
    expect(made).not.toMatch(/bought from a neighbour|by the oak/);
    expect(made.match(/<\/script>/g)).toHaveLength(1);
    expect(made).not.toContain("<!--");
    expect(kitIn(made).machines.settings[0]!.settings).toBe(odd);
    expect(kitIn(made).rules).toEqual([]);
  });
  test("refuses a machines file without a machine, and rules for other machines", async () => {
    await expect(phonePage({ machines: { ...machines, machines: [] } })).rejects.toThrow(
      "Cannot make a phone page: the machines file must describe a machine, got none",
    );
    await expect(phonePage({ machines, rules: rulesFor("Machine C", "Machine C") })).rejects.toThrow(
      "Cannot make a phone page: the rules are for Machine C, and the machines file describes Machine A, Machine B",
    );
    await expect(phonePage({ machines, rules: rulesFor() })).rejects.toThrow(RangeError);
  });
});
