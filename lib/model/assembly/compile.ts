// Compiles the sources of this folder with AssemblyScript and writes the code, as text, into ../_compiled.ts:
//   deno run -A --no-config --no-lock --node-modules-dir=none lib/model/assembly/compile.ts
// With --check it writes nothing and tells by its status whether the code is that of the sources.
import asc from "npm:assemblyscript@0.28.20/asc";

const NAMES = ["grow_tree", "add_shares"];
const target = new URL("../_compiled.ts", import.meta.url);
const flags = ["-O3", "--noAssert", "--runtime", "stub", "--enable", "simd"];

async function compile(name: string): Promise<{ code: string; sha256: string }> {
  const text = Deno.readTextFileSync(new URL(`${name}.ts`, import.meta.url));
  let code = new Uint8Array();
  const { error, stderr } = await asc.main([`${name}.ts`, "-o", `${name}.wasm`, ...flags], {
    readFile: (file: string) => file === `${name}.ts` ? text : null,
    writeFile: (file: string, contents: Uint8Array) => {
      if (file === `${name}.wasm`) code = contents;
    },
  });
  if (error) {
    console.error(stderr.toString());
    Deno.exit(1);
  }
  const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", new TextEncoder().encode(text)));
  const sha256 = Array.from(digest, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return { code: btoa(String.fromCharCode(...code)), sha256 };
}

const parts: string[] = [];
for (const name of NAMES) {
  const { code, sha256 } = await compile(name);
  const lines = (code.match(/.{1,96}/g) ?? []).map((line) => `      "${line}"`).join(" +\n");
  parts.push(`  ${name}: {\n    source: "${sha256}",\n    code: ${lines.trimStart()},\n  },\n`);
}
const written = `// Made from the sources in assembly/ by assembly/compile.ts: do not change it by hand.

/** The compiled code in base64, and the SHA-256 of its source. */
export const COMPILED = {
${parts.join("")}};
`;
if (!Deno.args.includes("--check")) Deno.writeTextFileSync(target, written);
else if (Deno.readTextFileSync(target) !== written) {
  console.error("The code is not that of the sources: run the command without --check.");
  Deno.exit(1);
}
