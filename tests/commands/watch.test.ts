import { expect, test } from "vitest";
import { writeNotebook } from "../../lib/writeup/mod.ts";
import { notebookOf } from "../writeup/_notebooks.ts";
import { taskCommand } from "./_run_task.ts";
import { root } from "./_season.ts";

test("watch shows the page on loopback, runs what changed and tells the browser", async () => {
  await Deno.mkdir(`${root}/.overiron`, { recursive: true });
  const folder = await Deno.makeTempDir({ dir: `${root}/.overiron` });
  const path = `${folder}/mine.ipynb`;
  const write = (last: string) =>
    Deno.writeTextFileSync(path, writeNotebook(notebookOf(["const a = 20;", last])));
  write("console.log(a + 1)");
  await Deno.writeTextFile(`${folder}/datapackage.json`, "{}");
  const temporary = `${folder}/temporary`;
  await Deno.mkdir(temporary);
  const child = taskCommand("watch", [path, "--data", folder], { here: root, temporary }).spawn();
  let said = "";
  const heard = (async () => {
    for await (const text of child.stderr.pipeThrough(new TextDecoderStream())) said += text;
  })();
  const until = async (pattern: RegExp) => {
    for (let i = 0; !pattern.test(said) && i < 600; i++) await new Promise((done) => setTimeout(done, 50));
    expect(said).toMatch(pattern);
  };
  try {
    const reader = child.stdout.pipeThrough(new TextDecoderStream()).getReader();
    const address = (await reader.read()).value!.trim();
    expect(address).toMatch(/^http:\/\/127\.0\.0\.1:\d+\/[0-9a-f]{32}\/$/);
    await until(/2 cells run/);
    const page = () => fetch(`${address}page`).then((response) => response.text());
    expect(await page()).toContain("21");
    expect((await page()).includes("<script")).toBe(false);
    expect((await fetch(new URL("/", address))).status).toBe(404);
    const events = (await fetch(`${address}events`)).body!.pipeThrough(new TextDecoderStream()).getReader();
    expect((await events.read()).value).toContain(": hello");
    write("console.log(a + 2)");
    expect((await events.read()).value).toContain("data: new");
    // One cell, or two where the library was changed in that very moment.
    await until(/cells run[\s\S]*[12] cells run/);
    expect(await page()).toContain("22");
    await events.cancel();
  } finally {
    child.kill("SIGINT");
    expect((await child.status).code).toBe(130);
    await heard;
    await Deno.remove(folder, { recursive: true });
  }
});
