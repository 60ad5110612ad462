import { COMPILED } from "./_compiled.ts";

const PAGE = 2 ** 16;
/** Above so many bytes the memory of one call is not kept for the next. */
const KEPT_BYTES = 2 ** 26;

/** Compiled code at work: its functions, and the memory they share with us. */
export interface Code<Functions> {
  readonly call: Functions;
  /** Makes the memory hold so many bytes, and gives it; what lay in it may be gone. */
  room(bytes: number): ArrayBuffer;
}

/** Gives the compiled code of a name; started when it is first asked for. Calls follow each other and leave nothing behind. */
export function codeOf<Functions>(name: keyof typeof COMPILED): () => Code<Functions> {
  let program: WebAssembly.Module | null = null;
  let kept: Code<Functions> | null = null;
  return () => {
    if (kept !== null) return kept;
    const bytes = Uint8Array.from(atob(COMPILED[name].code), (letter) => letter.charCodeAt(0));
    program ??= new WebAssembly.Module(bytes);
    const { exports } = new WebAssembly.Instance(program);
    const { memory, ...call } = exports as { memory: WebAssembly.Memory };
    const code = {
      call: call as Functions,
      room(bytes: number): ArrayBuffer {
        const more = Math.ceil((bytes - memory.buffer.byteLength) / PAGE);
        if (more > 0) memory.grow(more);
        if (bytes > KEPT_BYTES) kept = null;
        return memory.buffer as ArrayBuffer;
      },
    };
    return kept = code;
  };
}
