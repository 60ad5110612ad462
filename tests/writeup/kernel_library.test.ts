import { describe, expect, test } from "vitest";
import { kernelLibrary } from "../../lib/writeup/_kernel_library.ts";
import { runNotebooks, writeNotebook } from "../../lib/writeup/mod.ts";
import { notebookOf, root } from "./_notebooks.ts";

describe("kernelLibrary()", () => {
  const cells = [
    'import { say, toFrame, wilsonInterval } from "overiron";\nwilsonInterval(3, 10)',
    "say`Text.`",
    'await toFrame({ centre: [301, null], outcome: ["ferrous", "masked-good"] })',
  ];

  test("is made once, and a notebook gives the same bytes with it as from the sources", async () => {
    const library = await kernelLibrary(root);
    expect(library).toMatch(/\.overiron\/library\/[0-9a-f]{64}\/library\.js$/);
    const made = Deno.statSync(library!).mtime;
    expect(await kernelLibrary(root)).toBe(library);
    expect(Deno.statSync(library!).mtime).toEqual(made);
    const options = { name: "a", cwd: root };
    const [bundled, sources] = await runNotebooks([
      { notebook: notebookOf(cells), options: { ...options, prepared: { library } } },
      { notebook: notebookOf(cells), options },
    ]);
    expect(bundled!.failure).toBeNull();
    expect(writeNotebook(bundled!.executed)).toBe(writeNotebook(sources!.executed));
  });

  test("a notebook that fails is run again from the sources: its traceback names their lines", async () => {
    const library = await kernelLibrary(root);
    const notebook = notebookOf(['import { openData } from "overiron";\nawait openData("nowhere")']);
    const [run] = await runNotebooks([{
      notebook,
      options: { name: "a", cwd: root, prepared: { library } },
    }]);
    expect(run!.failure?.name).toBe("FileFault");
    const text = writeNotebook(run!.executed);
    expect(text).toContain("/lib/log/read_log_file.ts:");
    expect(text).not.toContain(".overiron");
  });

  test("is not made where overiron means something else, or nothing can be written", async () => {
    const place = await Deno.makeTempDir();
    try {
      expect(await kernelLibrary(place)).toBeNull();
      await Deno.writeTextFile(`${place}/deno.json`, '{"imports":{"overiron":"./other.ts"}}');
      expect(await kernelLibrary(place)).toBeNull();
      await Deno.writeTextFile(`${place}/deno.json`, '{"imports":{"overiron":"./lib/mod.ts"}}');
      expect(await kernelLibrary(place)).toBeNull();
    } finally {
      await Deno.remove(place, { recursive: true });
    }
  });
});
