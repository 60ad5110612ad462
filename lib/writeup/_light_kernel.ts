/**
 * What makes a new kernel open the engine's inspector: on loopback, at a port that is free, and with an address that holds a random
 * number and is told on the kernel's standard error alone.
 */
export const inspectedAt = (port: number): string =>
  `--inspect=127.0.0.1:${port} --inspect-publish-uid=stderr`;

const ADDRESS = /Debugger listening on (ws:\/\/127\.0\.0\.1:\d+\/[0-9a-f-]{36})\s/g;

/** Engines of a kernel: of its cells, and of its messages. */
const ENGINES = 2;

/** How long to wait for an inspector to open, and for it to shut, in milliseconds. */
const UNTIL_OPEN = 2000, UNTIL_SHUT = 10_000;

/** What the inspector answers to a request: only what is asked for here. */
interface Answer {
  readonly result?: { readonly objectId?: string } | readonly Property[];
  readonly internalProperties?: readonly Property[];
}

interface Property {
  readonly name: string;
  readonly value?: { readonly objectId?: string; readonly description?: string };
}

interface Inspector {
  /** Gives an empty answer where the kernel has gone. */
  post(method: string, params?: Readonly<Record<string, unknown>>): Promise<Answer>;
  isOpen(): boolean;
  readonly closed: Promise<void>;
}

/** Gives back what a starting kernel holds in vain. */
export interface LightKernel {
  /** Is told all that the kernel writes to its standard error. */
  hear(text: string): void;
  /** Ends once everything has been given back; throws where the inspector stays open. */
  lightened(): Promise<void>;
}

/**
 * `deno jupyter` 2.9 loads what `Deno.bench` needs into both of a kernel's engines, that of the cells and that of the messages, each with
 * an array of ten million places that nobody uses there: 160 MB in all, looked through again at every full collection of garbage. No
 * code that it runs can reach them; the inspector can, which the kernel opened at `port`. It is open for as long as that takes, before the
 * first cell.
 *
 * Where a Deno opens no inspector, or keeps its arrays elsewhere, the kernel works all the same and only holds more.
 */
export function lightKernel(port: number): LightKernel {
  let heard = "";
  let live = false;
  const found = new Map<string, Promise<Inspector>>();
  const emptied = async (address: string): Promise<Inspector> => {
    const inspector = await connect(address);
    // In its first moments an engine does not have the array yet; the sooner it goes, the less the two hold at once.
    for (let last = false; inspector.isOpen() && !(await empty(inspector)) && !last; last = live) {
      await new Promise((resolve) => setTimeout(resolve, 5));
    }
    return inspector;
  };
  const { promise: open, resolve: tellOpen } = Promise.withResolvers<void>();
  return {
    hear(text) {
      if (found.size === ENGINES) return;
      heard += text;
      for (const [, address] of heard.matchAll(ADDRESS)) {
        if (!found.has(address!)) found.set(address!, emptied(address!));
      }
      if (found.size === ENGINES) tellOpen();
    },
    async lightened() {
      await within(UNTIL_OPEN, open);
      live = true;
      const shut = Promise.all(found.values()).then((inspectors) =>
        Promise.all(inspectors.map(({ post, closed }) => {
          // The engine of the cells alone does it. It shuts the inspector of both.
          void post("Runtime.evaluate", {
            expression: '"jupyter" in Deno && process.getBuiltinModule("node:inspector").close()',
          });
          return closed;
        }))
      );
      if (!(await within(UNTIL_SHUT, shut)) || await answers(port)) {
        throw new Error("Cannot start the kernel: its inspector stays open");
      }
    },
  };
}

/** Whether a promise resolves within so many milliseconds. */
async function within(ms: number, promise: Promise<unknown>): Promise<boolean> {
  const { promise: late, resolve } = Promise.withResolvers<boolean>();
  const timer = setTimeout(() => resolve(false), ms);
  try {
    return await Promise.race([promise.then(() => true), late]);
  } finally {
    clearTimeout(timer);
  }
}

/** Empties the array of one engine, and tells whether it was there. */
async function empty({ post }: Inspector): Promise<boolean> {
  const propertiesOf = async (objectId: string | undefined): Promise<Answer> =>
    objectId === undefined ? {} : await post("Runtime.getProperties", { objectId, ownProperties: true });
  const listOf = ({ result }: Answer): readonly Property[] => Array.isArray(result) ? result : [];
  const { result } = await post("Runtime.evaluate", { expression: "Deno.bench" });
  if (result === undefined || !("objectId" in result)) return false;
  const { internalProperties = [] } = await propertiesOf(result.objectId);
  const scopes = internalProperties.find(({ name }) => name === "[[Scopes]]");
  for (const { value } of listOf(await propertiesOf(scopes?.value?.objectId))) {
    if (!value?.description?.startsWith("Module")) continue;
    const all = listOf(await propertiesOf(value.objectId)).find(({ name }) => name === "all")?.value;
    if (all?.description !== "Array(10000000)") continue;
    await post("Runtime.callFunctionOn", {
      objectId: all.objectId,
      functionDeclaration: "function () { this.length = 0; }",
    });
    await post("HeapProfiler.collectGarbage");
    return true;
  }
  return false;
}

/** Whether anything listens at a port of this machine. */
async function answers(port: number): Promise<boolean> {
  try {
    (await Deno.connect({ hostname: "127.0.0.1", port })).close();
    return true;
  } catch {
    return false;
  }
}

/** The types of packages know nothing of Deno's own options. */
const DenoWebSocket = WebSocket as unknown as new (
  address: string,
  options: { readonly client: Deno.HttpClient },
) => WebSocket;

async function connect(address: string): Promise<Inspector> {
  // Straight to the port: a proxy that the environment names has no part in this.
  const proxy = { transport: "tcp", hostname: "127.0.0.1", port: Number(new URL(address).port) } as const;
  const client = Deno.createHttpClient({ proxy });
  const socket = new DenoWebSocket(address, { client });
  const { promise: opened, resolve: open } = Promise.withResolvers<void>();
  const { promise: closed, resolve: close } = Promise.withResolvers<void>();
  const waiting = new Map<number, (answer: Answer) => void>();
  const giveUp = (): void => {
    open();
    close();
    for (const answer of waiting.values()) answer({});
  };
  socket.onopen = () => open();
  socket.onclose = socket.onerror = giveUp;
  socket.onmessage = ({ data }) => {
    const { id, result } = JSON.parse(data);
    waiting.get(id)?.(result ?? {});
    waiting.delete(id);
  };
  void closed.then(() => client.close());
  await opened;
  let last = 0;
  const isOpen = (): boolean => socket.readyState === WebSocket.OPEN;
  return {
    closed,
    isOpen,
    post: (method, params = {}) => {
      if (!isOpen()) return Promise.resolve({});
      const { promise, resolve } = Promise.withResolvers<Answer>();
      waiting.set(++last, resolve);
      socket.send(JSON.stringify({ id: last, method, params }));
      return promise;
    },
  };
}
