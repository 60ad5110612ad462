import { createRequire } from "node:module";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { citationFile, citationTexts, type Provenance, researchObject } from "../../lib/writeup/mod.ts";
import { filesOf } from "../commands/_season.ts";
import { plainCells, smallProject, smallWriteUp } from "./_small_write_up.ts";

const require = createRequire(import.meta.url);
const made: Provenance = {
  schema: "overiron-provenance/1",
  inputs: [{ role: "dig-log", sha256: "ab".repeat(32), bytes: 3, counts: {} }],
  notebooks: [],
  seed: 4,
  command: "deno task season DIG-LOG",
  versions: { overiron: "0.1.0" },
};

interface Found {
  readonly id: string;
  readonly status: string;
  readonly message: string;
}

/** What the validator of the npm package ro-crate (3.7.2, University of Queensland) finds, successes left out. */
async function faultsOf(json: string): Promise<Found[]> {
  // It fetches the context: it is given the copy that comes with the package.
  const context = JSON.stringify(require("ro-crate/lib/context.json"));
  const fetched = globalThis.fetch;
  globalThis.fetch = () =>
    Promise.resolve(new Response(context, { headers: { "content-type": "application/ld+json" } }));
  try {
    const path = require.resolve("ro-crate/lib/validator.js");
    delete require.cache[path];
    const { Validator } = require(path);
    const validator = new Validator();
    validator.parseJSON(json);
    await validator.validate();
    return (validator.results as Found[]).filter(({ status }) => status === "error" || status === "warning");
  } finally {
    globalThis.fetch = fetched;
  }
}

describe("ro-crate-metadata.json", () => {
  let root = "", json = "";
  beforeAll(async () => {
    root = await smallProject({ plain: plainCells });
    await smallWriteUp(root, { author: "A. Digger" });
    json = Deno.readTextFileSync(`${root}/out/ro-crate-metadata.json`);
  });
  afterAll(() => Deno.remove(root, { recursive: true }));

  test("the validator of the package ro-crate finds nothing wrong, and does find what is", async () => {
    expect(await faultsOf(json)).toEqual([]);
    const spoilt = await faultsOf(json.replace('"license":', '"licence":'));
    expect(spoilt.map(({ message }) => message).join()).toContain("license");
    expect((await faultsOf(json.replace('"2025-06"', '"June"'))).map(({ id }) => id)).toContain(
      "datePublishedFormat",
    );
  });

  test("lists every file of the write-up once, and is flat", () => {
    const graph = JSON.parse(json)["@graph"] as Record<string, unknown>[];
    const parts = (graph.find((each) => each["@id"] === "./")!.hasPart as { "@id": string }[]).map((each) =>
      each["@id"]
    );
    expect([...parts].sort()).toEqual(
      [...filesOf(`${root}/out`).keys()].filter((name) => name !== "ro-crate-metadata.json").sort(),
    );
    const ids = graph.map((each) => each["@id"]);
    expect(new Set(ids).size).toBe(ids.length);
    for (const entity of graph) {
      for (const value of Object.values(entity).flat()) {
        if (typeof value === "object") expect(Object.keys(value as object)).toEqual(["@id"]);
      }
    }
  });

  test("its date is the one given, else the last month of the data: no clock", () => {
    expect(json).toContain('"datePublished": "2025-06"');
    const dated = researchObject({
      provenance: { ...made, page: { title: "T", date: "2025-07-01" } },
      data: {},
      files: [],
    });
    expect(dated).toContain('"datePublished": "2025-07-01"');
  });
});

describe("citations", () => {
  test("a title with quotes, lines and marks of YAML stays one quoted scalar", () => {
    const text = citationFile({ ...made, page: { title: 'A "nail": #1\nauthors: []', author: "a: b" } });
    expect(text).toContain('title: "A \\"nail\\": #1\\nauthors: []"\n');
    expect(text.split("\n").filter((line) => line.startsWith("authors:"))).toHaveLength(1);
    expect(text).not.toContain("date-released");
    expect(citationFile({ ...made, page: { title: "T", date: "2025-07-01" } })).toContain(
      'date-released: "2025-07-01"',
    );
  });

  test("BibTeX escapes what LaTeX would take for its own; text names author, year, title and log", () => {
    const { text, bibtex } = citationTexts({
      ...made,
      page: { title: "5 % & {more}", author: "Ann_B", date: "2025-07-01" },
    });
    expect(bibtex).toContain("title = {5 \\% \\& more}");
    expect(bibtex).toContain("author = {{Ann\\_B}}");
    expect(bibtex).toContain("year = {2025}");
    expect(text).toContain(
      "Ann_B (2025). 5 % & {more}. Write-up made with overiron 0.1.0, seed 4, log SHA-256 abababababab.",
    );
  });
});
