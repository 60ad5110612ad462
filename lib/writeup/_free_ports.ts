const inUse = new Set<number>();

/** Finds `count` loopback ports that are free now and that no other kernel of this process was given. */
export function takePorts(count: number): number[] {
  const listeners: Deno.Listener[] = [];
  const ports: number[] = [];
  try {
    while (ports.length < count) {
      const listener = Deno.listen({ hostname: "127.0.0.1", port: 0 });
      listeners.push(listener);
      const { port } = listener.addr as Deno.NetAddr;
      if (inUse.has(port)) continue;
      inUse.add(port);
      ports.push(port);
    }
  } finally {
    for (const listener of listeners) listener.close();
  }
  return ports;
}

/** Gives ports back once their kernel has ended. */
export function returnPorts(ports: readonly number[]): void {
  for (const port of ports) inUse.delete(port);
}
