import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { checkNotebooks, findingText, type NotebookFinding, writeNotebook } from "../../lib/writeup/mod.ts";
import { notebookOf, root, type ShortCell } from "./_notebooks.ts";
import { withOutputs } from "./_page_parts.ts";

let folder = "";
let findings: readonly NotebookFinding[] = [];

// One fault a notebook, each beside code that is in order.
const faulty: Readonly<Record<string, { cells: readonly ShortCell[]; find: string }>> = {
  "types": { cells: ["const far: number = 1;", "far.toFixed('x')"], find: "cell cell-2, line 1: TS2345" },
  "missing": {
    cells: ['import { nothingLikeIt } from "overiron";\nnothingLikeIt()'],
    find: "line 1: TS2305",
  },
  "early-import": {
    cells: [
      "const shout = () => counted(1, { n: 1 });\nshout",
      'import { counted } from "overiron";\ncounted(2, { n: 2 })',
    ],
    find: 'cell cell-1, line 1: "counted" is used here and defined only below, in cell cell-2',
  },
  "early": { cells: ["1 + later", "const later = 2;\nlater"], find: '"later" is used here' },
  "syntax": { cells: ["1 +"], find: "cell cell-1, line 1:" },
  "empty": { cells: ["// nothing"], find: "cell cell-1: The cell holds no code" },
  "unused": {
    cells: ["const kept = 1;\nkept", "const lost = 2;"],
    find: "only defines lost, which nothing uses",
  },
  "idle": {
    cells: ["const a = 1;\na;\na + 1"],
    find: "cell cell-1, line 2: This value is neither kept nor shown",
  },
  "alt": {
    cells: [{ md: "![](data:image/png;base64,AAAA)" }],
    find: "A picture needs words between its brackets",
  },
  "img": { cells: ['Deno.jupyter.html`<img src="x">`'], find: "A picture needs an alt text" },
  "figure": { cells: [{ md: "See [fig:nowhere]." }], find: 'No figure has the id "nowhere"' },
  "source": { cells: [{ md: "See [@nobody1900]." }], find: 'has the key "nobody1900"' },
};
const sound: readonly ShortCell[] = [
  { md: "# Sound\n\nSee [@wilson1927]. ![A nail](data:image/png;base64,AAAA)" },
  { code: "const seed = 1;", tags: ["parameters"] },
  "const twice = (later: number) => later * 2;\nconst { a, ...rest } = { a: 1, b: 2 };\nfor (const i of [1]) twice(i);\ntwice(a + rest.b)",
  "const later = twice(seed);\nlater",
  { code: "throw new Error('meant')", tags: ["raises-exception"] },
];

describe("checkNotebooks()", () => {
  beforeAll(async () => {
    folder = await Deno.makeTempDir({ dir: `${root}/.overiron` });
    for (const [name, { cells }] of Object.entries(faulty)) {
      await Deno.writeTextFile(`${folder}/${name}.ipynb`, writeNotebook(notebookOf(cells)));
    }
    await Deno.writeTextFile(`${folder}/sound.ipynb`, writeNotebook(notebookOf(sound)));
    await Deno.writeTextFile(
      `${folder}/left.ipynb`,
      writeNotebook(withOutputs(notebookOf(["1"]), [{ output_type: "stream", name: "stdout", text: "1" }])),
    );
    await Deno.writeTextFile(`${folder}/broken.ipynb`, "{");
    findings = await checkNotebooks(folder, { root });
  });
  afterAll(() => Deno.remove(folder, { recursive: true }));
  const of = (name: string) =>
    findings.filter(({ notebook }) => notebook === `${name}.ipynb`).map(findingText);

  for (const [name, { find }] of Object.entries(faulty)) {
    test(`finds what is wrong: ${name}`, () => {
      const found = of(name);
      expect(found.some((text) => text.includes(find)), found.join("\n")).toBe(true);
    });
  }
  test("says once that a name is used too early, and tells findings in the order of notebooks and cells", () => {
    expect(of("early").filter((text) => text.includes("later"))).toHaveLength(1);
    const names = findings.map(({ notebook }) => notebook);
    expect(names).toEqual([...names].sort());
  });
  test("finds outputs left in a file, and a file that is no notebook", () => {
    expect(of("left").join()).toContain("Outputs or a count are left in the file");
    expect(of("broken").join()).toContain("Cannot read notebook: it is not JSON");
  });
  test("finds nothing in a notebook that is in order", () => expect(of("sound")).toEqual([]));
});
