import { expect, test, vi } from "vitest";
import { startKernel } from "../../lib/writeup/mod.ts";
import { root } from "./_notebooks.ts";

const taken = vi.hoisted(() => [] as number[]);
vi.mock("../../lib/writeup/_free_ports.ts", async (original) => {
  const real = await original<typeof import("../../lib/writeup/_free_ports.ts")>();
  // Once, a port that another program takes before the kernel does.
  return { ...real, takePorts: (count: number) => real.takePorts(count).map((port) => taken.pop() ?? port) };
});

test("starts with other ports where another program, of whatever protocol, took one in the meantime", async () => {
  const server = Deno.serve(
    { hostname: "127.0.0.1", port: 0, onListen: () => {} },
    () => new Response("not a kernel"),
  );
  for (const place of ["shell", "inspector"]) {
    // Ports are taken from the end of the list: the first one is the shell's, the sixth the inspector's.
    taken.push(...(place === "shell" ? [server.addr.port] : [server.addr.port, ...freePorts(5)]));
    const kernel = await startKernel({ cwd: root });
    expect(taken).toEqual([]);
    expect((await kernel.execute("1 + 1")).messages.at(-1)).toMatchObject({
      content: { data: { "text/plain": "2" } },
    });
    await kernel.stop();
  }
  await server.shutdown();
});

function freePorts(count: number): number[] {
  const listeners = Array.from({ length: count }, () => Deno.listen({ hostname: "127.0.0.1", port: 0 }));
  const ports = listeners.map(({ addr }) => addr.port);
  for (const listener of listeners) listener.close();
  return ports;
}
