import { createHash, randomBytes } from "node:crypto";

/** A page on this machine that reloads itself. */
export interface WatchServer {
  readonly address: string;
  /** Shows another page. */
  show(html: string): void;
  stop(): Promise<void>;
}

const SCRIPT = `new EventSource("events").onmessage = () => {
  const frame = document.querySelector("iframe"), at = frame.contentWindow.scrollY;
  frame.addEventListener("load", () => frame.contentWindow.scrollTo(0, at), { once: true });
  frame.contentWindow.location.reload();
};`;

/**
 * Serves a page on loopback alone, under a path that nobody can guess. The page itself keeps its policy of no script: the
 * frame around it has the one that reloads it.
 */
export function watchServer(port: number): WatchServer {
  const key = randomBytes(16).toString("hex");
  const hash = createHash("sha256").update(SCRIPT).digest("base64");
  const policy =
    `default-src 'none'; script-src 'sha256-${hash}'; style-src 'unsafe-inline'; connect-src 'self'; frame-src 'self'`;
  const frame = `<!doctype html><html lang="en"><head><meta charset="utf-8"><title>overiron, watching</title>
<style>html,body,iframe{margin:0;border:0;width:100%;height:100%;display:block}</style></head>
<body><iframe src="page" title="The notebook's page"></iframe><script>${SCRIPT}</script></body></html>`;
  let page = "<!doctype html><title>Running</title><p>The notebook is running.</p>";
  const open = new Set<ReadableStreamDefaultController<Uint8Array>>();
  const encoder = new TextEncoder();
  const server = Deno.serve({ hostname: "127.0.0.1", port, onListen: () => {} }, (request) => {
    const { pathname, host } = new URL(request.url);
    // A name that somebody else's page resolved to this machine is not this machine's.
    if (!/^127\.0\.0\.1:\d+$/.test(host)) return new Response("Not here", { status: 421 });
    const html = (text: string, more: Record<string, string> = {}): Response =>
      new Response(text, {
        headers: { "content-type": "text/html; charset=utf-8", "cache-control": "no-store", ...more },
      });
    if (pathname === `/${key}/`) return html(frame, { "content-security-policy": policy });
    if (pathname === `/${key}/page`) return html(page);
    if (pathname === `/${key}/events`) {
      let mine: ReadableStreamDefaultController<Uint8Array>;
      const body = new ReadableStream<Uint8Array>({
        start(controller) {
          open.add(mine = controller);
          controller.enqueue(encoder.encode(": hello\n\n"));
        },
        cancel() {
          open.delete(mine);
        },
      });
      return new Response(body, {
        headers: { "content-type": "text/event-stream", "cache-control": "no-store" },
      });
    }
    return new Response("Not found", { status: 404 });
  });
  return {
    address: `http://127.0.0.1:${(server.addr as Deno.NetAddr).port}/${key}/`,
    show(html) {
      page = html;
      for (const each of open) {
        try {
          each.enqueue(encoder.encode("data: new\n\n"));
        } catch {
          open.delete(each);
        }
      }
    },
    async stop() {
      for (const each of open) {
        try {
          each.close();
        } catch {
          // Its reader has gone.
        }
      }
      await server.shutdown();
    },
  };
}
