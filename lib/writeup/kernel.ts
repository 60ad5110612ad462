import { createHmac, randomBytes, randomUUID, timingSafeEqual } from "node:crypto";
import { returnPorts, takePorts } from "./_free_ports.ts";
import { kernelEnvironment, type KernelProcess, startKernelProcess } from "./_kernel_process.ts";
import { inspectedAt, lightKernel } from "./_light_kernel.ts";
import { connectZmtp, type ZmtpSocket } from "./_zmtp.ts";

/** One message of the kernel about a cell. */
export interface KernelMessage {
  readonly type: string;
  readonly content: Readonly<Record<string, any>>;
}

/** How the run of one piece of code ended. */
export type RunEnd = "ok" | "error" | "timed-out" | "died" | "too-large";

/** What one piece of code gave. */
export interface KernelRun {
  readonly end: RunEnd;
  /** Everything published while the code ran, in order, the kernel's own status messages left out. */
  readonly messages: readonly KernelMessage[];
  /** What the barrier brought back: rejections and errors that no cell caught. */
  readonly late: readonly (NotedError & { readonly how: string })[];
  /** What the code threw last, as it was noted where it was thrown; null where nothing was noted. */
  readonly thrown: NotedError | null;
}

/** An error as the kernel's prologue notes it. */
export interface NotedError {
  readonly name: string;
  readonly message: string;
  readonly stack: string;
  readonly cause: readonly string[];
}

/** A live kernel. */
export interface Kernel {
  /** Runs code and waits until nothing of its output can be missing. Never throws for what the code does. */
  execute(code: string, options?: ExecuteOptions): Promise<KernelRun>;
  /** The last text the kernel wrote outside the notebook. */
  stderr(): string;
  readonly pid: number;
  /** Ends the kernel. Safe to call more than once. */
  stop(): Promise<void>;
}

export interface ExecuteOptions {
  /** Milliseconds until the kernel is ended; default 120000. */
  readonly timeoutMs?: number;
  /** Bytes of output until the kernel is ended; default 5000000. */
  readonly outputCapBytes?: number;
}

export interface StartKernelOptions {
  /** Folder the kernel starts in: the `deno.json` above it is the one in force. */
  readonly cwd: string;
  /** Seed of `Math.random` inside the kernel; default 1. */
  readonly seed?: number;
  /** Milliseconds until a kernel that does not answer is given up; default 30000. */
  readonly startTimeoutMs?: number;
}

const DELIMITER = new TextEncoder().encode("<IDS|MSG>");
const CHANNELS = ["shell", "iopub", "stdin", "control", "hb"] as const;
const LIVE = new Set<() => Promise<void>>();

/**
 * Starts a fresh `deno jupyter` kernel of the Deno that runs this program, and waits until its messages arrive.
 *
 * The kernel listens on loopback only, with a signing key made for this run; its environment is cut down to what it
 * needs, with the zone UTC, no colours and a fixed seed of `Math.random`. It is ended with the returned `stop`, and in
 * any case when this process ends. Protocol: Jupyter messaging 5.3 over ZeroMQ.
 *
 * It starts with the engine's inspector open on loopback, at an address that this process alone is told, and is given out once that is
 * shut; what it held in vain is given back by then (160 MB).
 *
 * After each execution a silent broadcast with an id of its own is sent and waited for: this kernel reports that it is
 * idle before the last outputs are out, and a client that stops there loses them.
 *
 * Throws Error when the kernel does not come up in time or cannot be started.
 *
 * @example
 * ```ts
 * import { startKernel } from "./mod.ts";
 * const kernel = await startKernel({ cwd: Deno.cwd() });
 * const run = await kernel.execute("console.log(1 + 1)");
 * await kernel.stop();
 * if (run.messages[0]?.content.text !== "2\n") throw new Error("wrong");
 * ```
 */
export async function startKernel(options: StartKernelOptions): Promise<Kernel> {
  const { cwd, seed = 1, startTimeoutMs = 30_000 } = options;
  let last: unknown;
  // Between finding a free port and the kernel taking it another program may have taken it, one that does not even speak the
  // protocol: then once more.
  for (let attempt = 0; attempt < 3; attempt++) {
    try {
      return await startOnce(cwd, seed, startTimeoutMs);
    } catch (error) {
      last = error;
      if (!(error instanceof Error && /ended before|does not greet/.test(error.message))) break;
    }
  }
  throw last;
}

/** Ends every kernel that is still live: for a run that was interrupted. */
export async function stopAllKernels(): Promise<void> {
  await Promise.all([...LIVE].map((stop) => stop()));
}

async function startOnce(cwd: string, seed: number, startTimeoutMs: number): Promise<Kernel> {
  const key = randomBytes(32).toString("hex");
  const session = randomUUID();
  const ports = takePorts(CHANNELS.length + 1), inspectorPort = ports.at(-1)!;
  const folder = await Deno.makeTempDir({ prefix: "overiron-kernel-" });
  const connectionFile = `${folder}/connection.json`;
  const connection = {
    transport: "tcp",
    ip: "127.0.0.1",
    key,
    signature_scheme: "hmac-sha256",
    kernel_name: "deno",
    ...Object.fromEntries(CHANNELS.map((name, i) => [`${name}_port`, ports[i]])),
  };
  await Deno.writeTextFile(connectionFile, JSON.stringify(connection), { mode: 0o600 });
  const light = lightKernel(inspectorPort);
  let process: KernelProcess;
  try {
    process = await startKernelProcess(
      [Deno.execPath(), "jupyter", "--kernel", "--conn", connectionFile],
      {
        cwd,
        env: { ...kernelEnvironment(seed), NODE_OPTIONS: inspectedAt(inspectorPort) },
        onStderr: light.hear,
      },
    );
  } catch (error) {
    returnPorts(ports);
    await Deno.remove(folder, { recursive: true });
    throw error;
  }
  let shell: ZmtpSocket | null = null;
  let iopub: ZmtpSocket | null = null;
  let listening: Promise<void>[] = [];

  const sign = (parts: readonly Uint8Array[]): Uint8Array => {
    const hmac = createHmac("sha256", key);
    for (const part of parts) hmac.update(part);
    return new TextEncoder().encode(hmac.digest("hex"));
  };
  const encode = (value: unknown): Uint8Array => new TextEncoder().encode(JSON.stringify(value));
  const send = async (type: string, content: unknown): Promise<string> => {
    const id = randomUUID();
    const header = { msg_id: id, session, username: "overiron", date: "", msg_type: type, version: "5.3" };
    const parts = [encode(header), encode({}), encode({}), encode(content)];
    await shell!.send([DELIMITER, sign(parts), ...parts]);
    return id;
  };

  interface Heard extends KernelMessage {
    readonly parent: string;
    readonly bytes: number;
  }
  let onIopub: (heard: Heard) => void = () => {};
  let onShell: (heard: Heard) => void = () => {};
  let onBroken: () => void = () => {};
  const listen = async (socket: ZmtpSocket, tell: (heard: Heard) => void): Promise<void> => {
    try {
      for await (const frames of socket.messages()) {
        const at = frames.findIndex((frame) =>
          DELIMITER.length === frame.length && timingSafeEqual(DELIMITER, frame)
        );
        const parts = frames.slice(at + 2, at + 6);
        const signature = frames[at + 1];
        if (at < 0 || signature === undefined || parts.length < 4) continue;
        const wanted = sign(parts);
        if (wanted.length !== signature.length || !timingSafeEqual(wanted, signature)) {
          throw new SyntaxError("Cannot trust the kernel's messages: wrong signature");
        }
        const [header, parent, , content] = parts.map((part) => JSON.parse(new TextDecoder().decode(part)));
        tell({ type: header.msg_type, parent: parent.msg_id ?? "", content, bytes: parts[3]!.length });
      }
    } catch {
      // A very large output makes this kernel mix the bytes of two messages: nothing after that can be read.
      onBroken();
    }
  };

  let stopped: Promise<void> | null = null;
  const stop = (): Promise<void> => {
    stopped ??= (async () => {
      await process.kill();
      shell?.close();
      iopub?.close();
      await Promise.all(listening);
      returnPorts(ports);
      await Deno.remove(folder, { recursive: true }).catch(() => {});
      LIVE.delete(stop);
    })();
    return stopped;
  };
  LIVE.add(stop);

  const execute = async (code: string, options: ExecuteOptions = {}): Promise<KernelRun> => {
    const { timeoutMs = 120_000, outputCapBytes = 5_000_000 } = options;
    const messages: KernelMessage[] = [];
    let late: KernelRun["late"] = [];
    let thrown: NotedError | null = null;
    if (process.hasEnded()) return { end: "died", messages, late, thrown };
    const barrier = randomUUID();
    let bytes = 0;
    let status = "ok";
    const { promise: finished, resolve: finish } = Promise.withResolvers<RunEnd>();
    const timer = setTimeout(() => finish("timed-out"), timeoutMs);
    const { promise: sent, resolve: tellSent } = Promise.withResolvers<string>();
    const { promise: answered, resolve: tellAnswered } = Promise.withResolvers<void>();
    let cell = "", barrierSent: Promise<string> = Promise.resolve("");
    onIopub = (heard) => {
      if (heard.type === "overiron_barrier") {
        if (heard.content.id !== barrier) return;
        late = heard.content.late ?? [];
        thrown = heard.content.thrown ?? null;
        void answered.then(() => finish(status === "ok" ? "ok" : "error"));
        return;
      }
      if (heard.type === "status" || heard.type === "execute_input") return;
      bytes += heard.bytes;
      if (bytes > outputCapBytes) return finish("too-large");
      messages.push({ type: heard.type, content: heard.content });
    };
    onShell = async (heard) => {
      const id = await sent;
      if (heard.type !== "execute_reply") return;
      // The kernel holds a reply back until the one before is acknowledged, which takes 40 ms unless it goes with the next request:
      // so the barrier's reply is waited for too, and comes before that request.
      if (cell === id && heard.parent === (await barrierSent)) return tellAnswered();
      if (heard.parent !== id || cell === id) return;
      cell = id;
      status = heard.content.status;
      if (status === "error" && heard.content.ename) {
        messages.push({ type: "reply_error", content: heard.content });
      }
      barrierSent = send("execute_request", {
        // Once, by the prologue's own or without it: a second one would come after the report, and empty.
        code: `(globalThis[Symbol.for("overiron.barrier")] ?? ` +
          `((id) => Deno.jupyter.broadcast("overiron_barrier", { id })))("${barrier}"); undefined`,
        silent: true,
        store_history: false,
        user_expressions: {},
        allow_stdin: false,
        stop_on_error: false,
      });
    };
    onBroken = () => finish("too-large");
    void process.ended.then(() => finish("died"));
    const id = await send("execute_request", {
      code,
      silent: false,
      store_history: true,
      user_expressions: {},
      allow_stdin: false,
      stop_on_error: false,
    });
    tellSent(id);
    const end = await finished;
    clearTimeout(timer);
    onIopub = onShell = () => {};
    onBroken = () => {};
    // An interrupt can wedge this kernel for good, and after a flood its messages cannot be trusted: it is ended.
    if (end !== "ok" && end !== "error") await stop();
    return { end, messages, late, thrown };
  };

  try {
    await waitUntilLive();
    await light.lightened();
    // The key is known to both sides now: no file of a killed run stays behind.
    await Deno.remove(folder, { recursive: true });
  } catch (error) {
    await stop();
    const said = process.stderr().trim().split("\n").filter((line) => !/^(Warning|Debugger|Visit)/.test(line))
      .join(" ");
    throw new Error(`${error instanceof Error ? error.message : error}${said === "" ? "" : `: ${said}`}`);
  }
  return { execute, stop, stderr: process.stderr, pid: process.pid };

  async function waitUntilLive(): Promise<void> {
    const deadline = performance.now() + startTimeoutMs;
    const givenUp = (): boolean => process.hasEnded() || performance.now() > deadline;
    const connect = async (channel: number, type: "DEALER" | "SUB"): Promise<ZmtpSocket> => {
      try {
        return await connectZmtp({ port: ports[channel]!, type, givenUp });
      } catch (error) {
        if (process.hasEnded()) throw new Error("Cannot start the kernel: it ended before it answered");
        throw error;
      }
    };
    [shell, iopub] = await Promise.all([connect(0, "DEALER"), connect(1, "SUB")]);
    listening = [listen(iopub, (heard) => onIopub(heard)), listen(shell, (heard) => onShell(heard))];
    const { promise: live, resolve, reject } = Promise.withResolvers<void>();
    onIopub = (heard) => {
      if (heard.type === "status") resolve();
    };
    void process.ended.then(() => reject(new Error(`Cannot start the kernel: it ended before it answered`)));
    const timer = setTimeout(
      () => reject(new Error(`Cannot start the kernel: no answer in ${startTimeoutMs / 1000} s`)),
      startTimeoutMs,
    );
    const ask = (): void => void send("kernel_info_request", {}).catch(() => {});
    const asking = setInterval(ask, 50);
    ask();
    try {
      await live;
    } finally {
      clearInterval(asking);
      clearTimeout(timer);
      onIopub = () => {};
    }
  }
}
