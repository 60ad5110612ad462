import { describe, expect, test } from "vitest";
import { chance } from "../../lib/numbers/mod.ts";
import { readGpx } from "../../lib/log/read_gpx.ts";
import { changedGpx, GPX_SAMPLES } from "../log/_gpx_samples.ts";
import { mustHavePrograms, programPath } from "./_programs.ts";

// The schema is the file Topografix_gpx11.xsd of Debian's package pytrainer, installed, or unpacked as .ci/run does it.
const HOW =
  "mkdir -p .overiron/debian && cd .overiron/debian && apt-get download pytrainer && dpkg -x pytrainer_*.deb .";
const root = Deno.env.get("OVERIRON_ROOT") ?? Deno.cwd();
const schema = [Deno.env.get("GPX_SCHEMA") ?? "", "", `${root}/.overiron/debian`]
  .map((path, i) => i === 0 ? path : `${path}/usr/share/pytrainer/schemas/Topografix_gpx11.xsd`)
  .find((path) => {
    try {
      return path !== "" && Deno.statSync(path).isFile;
    } catch {
      return false;
    }
  }) ?? null;
const xmllint = programPath(["xmllint"]);
/** What is absent, and how to get it. */
const absent = [
  ...(xmllint === null ? ["xmllint (apt-get install libxml2-utils)"] : []),
  ...(schema === null ? [`the schema of GPX 1.1 (${HOW})`] : []),
].join(", and ");

/** Which of the documents are valid, by xmllint (libxml2) and the schema. */
async function validBySchema(texts: readonly string[]): Promise<boolean[]> {
  if (xmllint === null || schema === null) {
    throw new Error(`Cannot check: absent is ${absent}`);
  }
  const folder = await Deno.makeTempDir();
  try {
    const paths = texts.map((_, i) => `${folder}/${i}.gpx`);
    paths.forEach((path, i) => Deno.writeTextFileSync(path, texts[i]!));
    const { stderr } = await new Deno.Command(xmllint, {
      args: ["--nonet", "--noout", "--schema", schema, ...paths],
      stdin: "null",
    }).output();
    const said = new TextDecoder().decode(stderr).split("\n");
    return paths.map((path) => said.includes(`${path} validates`));
  } finally {
    await Deno.remove(folder, { recursive: true });
  }
}

/** Whether this library reads it. That a file has no waypoint at all is no matter of the schema. */
const validHere = (text: string): Promise<boolean> =>
  readGpx(new TextEncoder().encode(text), { file: "x.gpx" }).then(
    () => true,
    (error) => error.message.includes("it must have a waypoint (wpt)"),
  );

describe.runIf(absent === "" || mustHavePrograms())(
  `GPX by its schema, with xmllint${absent === "" ? "" : `; absent: ${absent}`}`,
  () => {
    test("the samples of the tests are what they are said to be", async () => {
      const valid = await validBySchema(GPX_SAMPLES.map(({ text }) => text));
      expect(GPX_SAMPLES.map(({ name }, i) => `${name}: ${valid[i]}`)).toEqual(
        GPX_SAMPLES.map(({ name, valid }) => `${name}: ${valid}`),
      );
    });

    test("readGpx() agrees on 600 documents changed at random", async () => {
      const texts = Array.from({ length: 600 }, (_, i) => {
        const stream = chance(7, "tests/gpx", i);
        return changedGpx(() => stream.next());
      });
      const valid = await validBySchema(texts);
      const here = await Promise.all(texts.map(validHere));
      const differ = texts.filter((_, i) => valid[i] !== here[i]);
      expect(differ).toEqual([]);
      expect(valid.filter(Boolean).length).toBeGreaterThan(30);
      expect(valid.filter((each) => !each).length).toBeGreaterThan(100);
    });
  },
);
