import { afterEach, describe, expect, test, vi } from "vitest";
import { takePorts } from "../../lib/writeup/_free_ports.ts";
import { kernelEnvironment, startKernelProcess } from "../../lib/writeup/_kernel_process.ts";
import { inspectedAt, lightKernel } from "../../lib/writeup/_light_kernel.ts";
import { type Kernel, startKernel } from "../../lib/writeup/mod.ts";
import { isAlive, root } from "./_notebooks.ts";

let open: Kernel[] = [];
const start = async (seed = 1): Promise<Kernel> => {
  const kernel = await startKernel({ cwd: root, seed });
  open.push(kernel);
  return kernel;
};
afterEach(async () => {
  await Promise.all(open.map((kernel) => kernel.stop()));
  open = [];
});

/** A kernel that a process of its own has started. */
async function startElsewhere(
  env: Record<string, string> = {},
): Promise<{ child: Deno.ChildProcess; pid: number }> {
  const child = new Deno.Command(Deno.execPath(), {
    args: ["run", "-A", `${root}/tests/writeup/_start_and_wait.ts`],
    env,
    stdout: "piped",
    stderr: "null",
  }).spawn();
  const reader = child.stdout.getReader();
  const { value } = await reader.read();
  reader.releaseLock();
  return { child, pid: Number(new TextDecoder().decode(value).trim()) };
}

const streamed = (run: Awaited<ReturnType<Kernel["execute"]>>): string =>
  run.messages.filter(({ type }) => type === "stream").map(({ content }) => content.text).join("");

describe("startKernel()", () => {
  test("loses no output of 60 cells of 20 lines, though this kernel is idle before they are out", async () => {
    const kernel = await start();
    const code = Array.from({ length: 20 }, (_, i) => `console.log(${i});`).join("\n");
    const whole = Array.from({ length: 20 }, (_, i) => `${i}\n`).join("");
    for (let cell = 0; cell < 60; cell++) {
      const run = await kernel.execute(`${code}\n${cell}`);
      expect(streamed(run)).toBe(whole);
      expect(run.messages.at(-1)).toMatchObject({
        type: "execute_result",
        content: { data: { "text/plain": `${cell}` } },
      });
    }
  });

  test("ends a cell that never ends, and its process, where an interrupt would wedge it", async () => {
    const kernel = await start();
    const run = await kernel.execute("console.log('before'); await new Promise(() => {});", {
      timeoutMs: 700,
    });
    expect(run.end).toBe("timed-out");
    expect(streamed(run)).toBe("before\n");
    expect(isAlive(kernel.pid)).toBe(false);
    expect((await kernel.execute("1")).end).toBe("died");
  });

  test("ends a loop that blocks the kernel", async () => {
    const kernel = await start();
    expect((await kernel.execute("while (true) {}", { timeoutMs: 500 })).end).toBe("timed-out");
    expect(isAlive(kernel.pid)).toBe(false);
  });

  test("notices that a cell ended the process", async () => {
    const kernel = await start();
    expect((await kernel.execute("Deno.exit(3)")).end).toBe("died");
  });

  test("stops at the cap of outputs", async () => {
    const kernel = await start();
    const run = await kernel.execute("for (let i = 0; i < 40; i++) console.log('x'.repeat(1e5))", {
      outputCapBytes: 1_000_000,
    });
    expect(run.end).toBe("too-large");
    expect(streamed(run).length).toBeLessThanOrEqual(1_000_000);
  });

  test("stops at outputs so large that this kernel mixes the bytes of two messages", async () => {
    const flood = await (await start()).execute("console.log('x'.repeat(2e7)); console.log('y'.repeat(2e7))");
    expect(flood.end).toBe("too-large");
  });

  test("seeds Math.random, and only by the seed", async () => {
    const draw = async (seed: number): Promise<string> => {
      const run = await (await start(seed)).execute("Math.random()");
      return run.messages.at(-1)!.content.data["text/plain"];
    };
    const [a, b, c] = [await draw(5), await draw(5), await draw(6)];
    expect(a).toBe(b);
    expect(a).not.toBe(c);
  });

  test("hands on none of this process's own environment, and fixes zone, language and colours", async () => {
    Deno.env.set("OVERIRON_SECRET_OF_THE_TEST", "x");
    const run = await (await start()).execute(
      "JSON.stringify(['OVERIRON_SECRET_OF_THE_TEST', 'TZ', 'LANG', 'NO_COLOR'].map((name) => Deno.env.get(name)))",
    );
    Deno.env.delete("OVERIRON_SECRET_OF_THE_TEST");
    expect(run.messages.at(-1)!.content.data["text/plain"]).toBe(`'[null,"UTC","C.UTF-8","1"]'`);
  });

  test("listens on loopback only, and leaves no file with its key", async () => {
    const usual = Deno.env.get("TMPDIR");
    const temporary = await Deno.makeTempDir();
    Deno.env.set("TMPDIR", temporary);
    const kernel = await start();
    if (usual === undefined) Deno.env.delete("TMPDIR");
    else Deno.env.set("TMPDIR", usual);
    expect([...Deno.readDirSync(temporary)]).toEqual([]);
    await Deno.remove(temporary);
    const inode = /socket:\[(\d+)\]/;
    const sockets = new Set<string>();
    for (const entry of Deno.readDirSync(`/proc/${kernel.pid}/fd`)) {
      const found = inode.exec(await Deno.readLink(`/proc/${kernel.pid}/fd/${entry.name}`).catch(() => ""));
      if (found) sockets.add(found[1]!);
    }
    // Columns of /proc/net/tcp: local address, state (0A is listening), inode; 0100007F is 127.0.0.1 (proc(5)).
    const rows = (await Deno.readTextFile("/proc/net/tcp")).split("\n").slice(1).map((row) =>
      row.trim().split(/\s+/)
    );
    const listening = rows.filter((row) => row[3] === "0A" && sockets.has(row[9]!)).map((row) =>
      row[1]!.split(":")[0]
    );
    expect(listening.length).toBe(5);
    expect(new Set(listening)).toEqual(new Set(["0100007F"]));
  });

  test("tells nobody the address of the inspector that it starts with, and shuts it before the first cell", async () => {
    const [port] = takePorts(1) as [number];
    const folder = await Deno.makeTempDir();
    const connection = {
      transport: "tcp",
      ip: "127.0.0.1",
      key: "a",
      signature_scheme: "hmac-sha256",
      kernel_name: "deno",
    };
    const ports = takePorts(5).map((
      port,
      i,
    ) => [`${["shell", "iopub", "stdin", "control", "hb"][i]}_port`, port]);
    await Deno.writeTextFile(
      `${folder}/c.json`,
      JSON.stringify({ ...connection, ...Object.fromEntries(ports) }),
    );
    const { promise: addressed, resolve } = Promise.withResolvers<string>();
    let said = "";
    const kernel = await startKernelProcess([
      Deno.execPath(),
      "jupyter",
      "--kernel",
      "--conn",
      `${folder}/c.json`,
    ], {
      cwd: root,
      env: { ...kernelEnvironment(1), NODE_OPTIONS: inspectedAt(port) },
      onStderr: (text) => {
        said += text;
        const [address] = /ws:\S+/.exec(said) ?? [];
        if (address !== undefined) resolve(address);
      },
    });
    const answers = (path: string) =>
      fetch(`http://127.0.0.1:${port}${path}`).then(async (reply) => ({
        status: reply.status,
        text: await reply.text(),
      }));
    const address = await addressed;
    expect(new URL(address).host).toBe(`127.0.0.1:${port}`);
    for (const path of ["/json", "/json/list", "/json/version", "/"]) {
      expect((await answers(path)).text).not.toContain(address.slice(-36));
    }
    await kernel.kill();
    await Deno.remove(folder, { recursive: true });
    const ready = await start();
    expect(ready.stderr()).toContain("Debugger listening on ws://127.0.0.1:");
    const shut = /ws:\/\/127\.0\.0\.1:(\d+)/.exec(ready.stderr())![1]!;
    await expect(Deno.connect({ hostname: "127.0.0.1", port: Number(shut) })).rejects.toThrow(
      Deno.errors.ConnectionRefused,
    );
  });

  test("is not given out while something answers where its inspector was", async () => {
    const listener = Deno.listen({ hostname: "127.0.0.1", port: 0 });
    await expect(lightKernel(listener.addr.port).lightened()).rejects.toThrow(
      "Cannot start the kernel: its inspector stays open",
    );
    listener.close();
  });

  test("a kernel that goes before it is live is not asked any more", async () => {
    // An inspector that knows no Deno.bench, and goes after some questions.
    let asked = 0;
    const server = Deno.serve({ hostname: "127.0.0.1", port: 0, onListen: () => {} }, (request) => {
      const { socket, response } = Deno.upgradeWebSocket(request);
      socket.onmessage = ({ data }) => {
        socket.send(JSON.stringify({ id: JSON.parse(data).id, result: { result: { type: "undefined" } } }));
        if (++asked === 3) socket.close();
      };
      return response;
    });
    const timers = vi.spyOn(globalThis, "setTimeout");
    const { port } = server.addr;
    lightKernel(port).hear(`Debugger listening on ws://127.0.0.1:${port}/${crypto.randomUUID()}\n`);
    await vi.waitUntil(() => asked === 3);
    await server.shutdown();
    await new Promise((resolve) => setTimeout(resolve, 50));
    const before = timers.mock.calls.length;
    await new Promise((resolve) => setTimeout(resolve, 100));
    expect(timers.mock.calls.length).toBe(before + 1);
    timers.mockRestore();
  });

  test.skipIf(Deno.build.os !== "linux")(
    "begins without the 160 MB that Deno sets aside for Deno.bench",
    async () => {
      const held = (pid: number) =>
        Number(/^Rss:\s+(\d+)/m.exec(Deno.readTextFileSync(`/proc/${pid}/smaps_rollup`))![1]) * 1024;
      const kernel = await start();
      expect(held(kernel.pid)).toBeLessThan(110e6);
      // The ruler works: an array of that size shows.
      await kernel.execute("globalThis.all = new Array(1e7)");
      expect(held(kernel.pid)).toBeGreaterThan(120e6);
      // A proxy for the web has no part in it.
      const { child, pid } = await startElsewhere({
        HTTP_PROXY: "http://127.0.0.1:9",
        ALL_PROXY: "http://127.0.0.1:9",
      });
      expect(held(pid)).toBeLessThan(110e6);
      child.kill("SIGKILL");
      await child.status;
      await child.stdout.cancel();
    },
  );

  test("says why a kernel does not come up", async () => {
    const folder = await Deno.makeTempDir();
    await Deno.writeTextFile(`${folder}/deno.json`, "{ broken");
    await expect(startKernel({ cwd: folder })).rejects.toThrow(
      /^Cannot start the kernel: it ended before it answered: .*deno\.json/,
    );
    await Deno.remove(folder, { recursive: true });
  });

  test("leaves no kernel behind when its own process is killed", async () => {
    const { child, pid } = await startElsewhere();
    expect(isAlive(pid)).toBe(true);
    child.kill("SIGKILL");
    await child.status;
    for (let waited = 0; waited < 40 && isAlive(pid); waited++) {
      await new Promise((done) => setTimeout(done, 50));
    }
    expect(isAlive(pid)).toBe(false);
    await child.stdout.cancel();
  });

  test("runs many kernels one after another and two at once without losing an answer", async () => {
    const one = async (): Promise<string> => {
      const kernel = await start();
      const ends = [];
      for (let i = 0; i < 5; i++) ends.push((await kernel.execute("1 + 1", { timeoutMs: 10_000 })).end);
      await kernel.stop();
      return ends.join();
    };
    for (let round = 0; round < 4; round++) {
      expect(await Promise.all([one(), one()])).toEqual(Array(2).fill("ok,ok,ok,ok,ok"));
    }
  });
});
