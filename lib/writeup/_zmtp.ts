/** One end of a ZeroMQ connection: sends and hears messages of several frames. */
export interface ZmtpSocket {
  send(frames: readonly Uint8Array[]): Promise<void>;
  /** Messages as they arrive. Ends when the connection ends; throws SyntaxError where the bytes make no sense. */
  messages(): AsyncGenerator<Uint8Array[]>;
  close(): void;
}

export interface ConnectZmtpOptions {
  readonly port: number;
  readonly type: "DEALER" | "SUB";
  /** Asked before each new attempt to connect: true gives up. */
  readonly givenUp: () => boolean;
}

const MORE = 1, LONG = 2, COMMAND = 4;
const MAX_FRAME_BYTES = 64_000_000;

/**
 * Connects to a ZeroMQ socket on loopback, trying until it is there, and completes the handshake.
 *
 * Only what a Jupyter client needs: ZMTP 3.0 (rfc.zeromq.org/spec/23) with the NULL mechanism, as DEALER or as a SUB
 * that hears everything. Written out here because the package with the ZeroMQ library, loaded into Deno, loses wake-ups.
 *
 * Throws Error when `givenUp` says so before the connection stands, SyntaxError when the other side speaks otherwise.
 */
export async function connectZmtp(options: ConnectZmtpOptions): Promise<ZmtpSocket> {
  const connection = await keepConnecting(options);
  const source = new ByteSource(connection);
  try {
    const greeting = new Uint8Array(64);
    greeting.set([0xff, 0, 0, 0, 0, 0, 0, 0, 0, 0x7f, 3, 0, 0x4e, 0x55, 0x4c, 0x4c]);
    await writeAll(connection, greeting);
    const heard = await source.take(64);
    if (heard === null || heard[0] !== 0xff || heard[9] !== 0x7f || heard[10]! < 3) {
      throw new SyntaxError("Cannot speak with the kernel: it does not greet as ZMTP 3");
    }
    const text = (value: string): number[] => [...new TextEncoder().encode(value)];
    const property = (name: string, value: string): number[] => {
      return [name.length, ...text(name), 0, 0, 0, value.length, ...text(value)];
    };
    const ready = [
      5,
      ...text("READY"),
      ...property("Socket-Type", options.type),
      ...property("Identity", ""),
    ];
    await writeAll(connection, frame(COMMAND, Uint8Array.from(ready)));
    const first = await readFrame(source);
    if (first === null || (first.flags & COMMAND) === 0) {
      throw new SyntaxError("Cannot speak with the kernel: no READY after the greeting");
    }
    if (options.type === "SUB") await writeAll(connection, frame(0, Uint8Array.of(1)));
  } catch (error) {
    connection.close();
    throw error;
  }
  // One write at a time: two at once would mix their bytes.
  let queue: Promise<void> = Promise.resolve();
  let closed = false;
  return {
    send(frames) {
      const bytes = concatenate(frames.map((body, i) => frame(i < frames.length - 1 ? MORE : 0, body)));
      const written = queue.then(() => writeAll(connection, bytes));
      queue = written.catch(() => {});
      return written;
    },
    async *messages() {
      let frames: Uint8Array[] = [];
      while (true) {
        const next = await readFrame(source);
        if (next === null) return;
        if ((next.flags & COMMAND) !== 0) continue;
        frames.push(next.body);
        if ((next.flags & MORE) !== 0) continue;
        yield frames;
        frames = [];
      }
    },
    close() {
      if (closed) return;
      closed = true;
      connection.close();
    },
  };
}

async function keepConnecting({ port, givenUp }: ConnectZmtpOptions): Promise<Deno.TcpConn> {
  while (!givenUp()) {
    try {
      const connection = await Deno.connect({ hostname: "127.0.0.1", port });
      connection.setNoDelay(true);
      return connection;
    } catch (error) {
      if (!(error instanceof Deno.errors.ConnectionRefused)) throw error;
      await new Promise((resolve) => setTimeout(resolve, 15));
    }
  }
  throw new Error("Cannot connect to the kernel: given up");
}

function frame(flags: number, body: Uint8Array): Uint8Array {
  const long = body.length > 255;
  const out = new Uint8Array(body.length + (long ? 9 : 2));
  out[0] = flags | (long ? LONG : 0);
  if (long) new DataView(out.buffer).setBigUint64(1, BigInt(body.length));
  else out[1] = body.length;
  out.set(body, long ? 9 : 2);
  return out;
}

async function readFrame(source: ByteSource): Promise<{ flags: number; body: Uint8Array } | null> {
  const flags = (await source.take(1))?.[0];
  if (flags === undefined) return null;
  if (flags > 7) throw new SyntaxError(`Cannot read the kernel's messages: unknown frame flags ${flags}`);
  const size = await source.take((flags & LONG) !== 0 ? 8 : 1);
  if (size === null) return null;
  let length = 0;
  for (const byte of size) length = length * 256 + byte;
  if (length > MAX_FRAME_BYTES) {
    throw new SyntaxError(`Cannot read the kernel's messages: a frame of ${length} bytes`);
  }
  const body = await source.take(length);
  return body === null ? null : { flags, body };
}

async function writeAll(connection: Deno.TcpConn, bytes: Uint8Array): Promise<void> {
  for (let at = 0; at < bytes.length;) at += await connection.write(bytes.subarray(at));
}

function concatenate(parts: readonly Uint8Array[]): Uint8Array {
  const out = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    out.set(part, at);
    at += part.length;
  }
  return out;
}

/** Bytes of a connection, taken in any amount. */
class ByteSource {
  #chunk = new Uint8Array(0);
  #at = 0;
  constructor(readonly connection: Deno.TcpConn) {}

  /** The next `length` bytes, or null where the connection ends before. */
  async take(length: number): Promise<Uint8Array | null> {
    const out = new Uint8Array(length);
    let filled = 0;
    while (filled < length) {
      if (this.#at === this.#chunk.length) {
        const buffer = new Uint8Array(65_536);
        const read = await this.connection.read(buffer).catch(() => null);
        if (read === null) return null;
        this.#chunk = buffer.subarray(0, read);
        this.#at = 0;
      }
      const part = this.#chunk.subarray(this.#at, this.#at + length - filled);
      out.set(part, filled);
      filled += part.length;
      this.#at += part.length;
    }
    return out;
  }
}
