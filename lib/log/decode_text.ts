import { type Signs, signsIn } from "./fast_bytes.ts";
import { FileFault } from "./file_fault.ts";
import { type Encoding, ENCODINGS } from "./table.ts";

/** The offset of the first byte that is not well-formed UTF-8 (Unicode 15, table 3-7), or -1. */
function firstBadByte(bytes: Uint8Array): number {
  for (let i = 0; i < bytes.length;) {
    const lead = bytes[i]!;
    if (lead < 0x80) {
      i++;
      continue;
    }
    const length = lead >= 0xc2 && lead <= 0xdf
      ? 2
      : lead >= 0xe0 && lead <= 0xef
      ? 3
      : lead >= 0xf0 && lead <= 0xf4
      ? 4
      : 0;
    if (length === 0) return i;
    for (let k = 1; k < length; k++) {
      const next = bytes[i + k];
      const low = k === 1 && lead === 0xe0 ? 0xa0 : k === 1 && lead === 0xf0 ? 0x90 : 0x80;
      const high = k === 1 && lead === 0xed ? 0x9f : k === 1 && lead === 0xf4 ? 0x8f : 0xbf;
      if (next === undefined || next < low || next > high) return i;
    }
    i += length;
  }
  return -1;
}

const startsWith = (bytes: Uint8Array, ...head: number[]): boolean =>
  head.every((byte, i) => bytes[i] === byte);

/** The encoding that a byte order mark names, and how long the mark is. */
function markOf(bytes: Uint8Array): { readonly encoding: Encoding; readonly length: number } | null {
  if (startsWith(bytes, 0xef, 0xbb, 0xbf)) return { encoding: "utf-8", length: 3 };
  if (startsWith(bytes, 0xff, 0xfe)) return { encoding: "utf-16le", length: 2 };
  if (startsWith(bytes, 0xfe, 0xff)) return { encoding: "utf-16be", length: 2 };
  return null;
}

/** Which UTF-16 the bytes look like without a mark: Latin letters leave every other byte zero. */
function looksLikeUtf16(bytes: Uint8Array): Encoding | null {
  const length = Math.min(bytes.length, 4096) & ~1;
  let even = 0, odd = 0;
  for (let i = 0; i < length; i += 2) {
    if (bytes[i] === 0) even++;
    if (bytes[i + 1] === 0) odd++;
  }
  const most = length / 2 * 0.7;
  return length < 4
    ? null
    : odd > most && even === 0
    ? "utf-16le"
    : even > most && odd === 0
    ? "utf-16be"
    : null;
}

export interface DecodeTextOptions {
  /** Default: what the byte order mark says, else UTF-8. */
  readonly encoding?: Encoding;
}

/** Text as UTF-8 bytes, without a byte order mark. */
export interface DecodedText {
  readonly body: Uint8Array;
  readonly encoding: Encoding;
  /** What was taken for granted, or null. */
  readonly note: string | null;
  readonly signs: Signs;
}

export const ENCODING_NOTES = {
  utf16: "The text was read as UTF-16, as its byte order mark says",
  said: "The text was read in the encoding that was said",
} as const;

/**
 * Gives the bytes of a text file as UTF-8 without a byte order mark.
 *
 * The byte order mark decides (UTF-8, UTF-16 LE or BE); without one the text must be UTF-8 to the last byte. No other
 * encoding is ever guessed: it has to be said.
 *
 * Throws FileFault for an empty file, a workbook or archive, a NUL byte, or a byte that the encoding does not allow,
 * with the byte's offset (from 0) and its physical line, and the option to give where another encoding is likely;
 * RangeError for an encoding that is not one of `ENCODINGS`.
 */
export function decodeText(bytes: Uint8Array, file: string, options: DecodeTextOptions = {}): DecodedText {
  const refuse = (rule: string, got: string, at?: number): never => {
    let line = 1;
    for (let i = 0; at !== undefined && i < at; i++) {
      if (bytes[i] === 10 || (bytes[i] === 13 && bytes[i + 1] !== 10)) line++;
    }
    throw new FileFault(
      `Cannot read ${file}: ${rule}, got ${got}${at === undefined ? "" : ` at byte ${at}, line ${line}`}`,
      at === undefined ? { file } : { file, line },
    );
  };
  const { encoding: said } = options;
  if (said !== undefined && !ENCODINGS.includes(said)) {
    throw new RangeError(`Cannot read ${file}: encoding must be one of ${ENCODINGS.join(", ")}, got ${said}`);
  }
  if (bytes.length === 0) refuse("it must have a heading row", "an empty file");
  if (startsWith(bytes, 0x50, 0x4b, 3, 4)) refuse("it must be a text file", "a workbook or archive");
  if (startsWith(bytes, 0xd0, 0xcf, 0x11, 0xe0)) {
    refuse("it must be a text file or an .xlsx workbook", "an old workbook; save it as .xlsx or CSV UTF-8");
  }
  const mark = markOf(bytes);
  if (said !== undefined && mark !== null && mark.encoding !== said) {
    refuse(`it must be ${said}, as --encoding says`, `the byte order mark of ${mark.encoding}`);
  }
  const encoding = said ?? mark?.encoding ?? "utf-8";
  const start = mark?.length ?? 0;
  const body = start === 0 ? bytes : bytes.subarray(start);
  if (body.length === 0) refuse("it must have a heading row", "a byte order mark only");

  if (encoding !== "utf-8") {
    let text = "";
    try {
      text = new TextDecoder(encoding, { fatal: true }).decode(body);
    } catch {
      refuse(`it must be ${encoding}`, "bytes that this encoding does not have");
    }
    // What these tables leave undefined comes out as a control character: the sign of another encoding.
    // deno-lint-ignore no-control-regex
    const control = /[\u0000\u0080-\u009f]/.exec(text);
    if (control !== null) {
      const line = text.slice(0, control.index).split(/\r\n|\n|\r/).length;
      const code = control[0].charCodeAt(0).toString(16).toUpperCase().padStart(4, "0");
      throw new FileFault(
        `Cannot read ${file}: ${
          code === "0000" ? "it must be text" : `it must be ${encoding}`
        }, got the control character U+${code} on line ${line}`,
        { file, line },
      );
    }
    const note = said === undefined ? ENCODING_NOTES.utf16 : ENCODING_NOTES.said;
    const encoded = new TextEncoder().encode(text);
    return { body: encoded, encoding, note, signs: signsIn(encoded) };
  }

  const signs = signsIn(body);
  if (signs.ascii && !signs.nul) return { body, encoding, note: null, signs };
  const nul = signs.nul ? body.indexOf(0) : -1;
  if (nul >= 0) {
    const wide = looksLikeUtf16(body);
    if (wide !== null) {
      refuse(
        "it must be UTF-8, or UTF-16 with a byte order mark",
        `what looks like UTF-16 without one; if it is, give --encoding ${wide}`,
      );
    }
    refuse("it must be text", "a NUL byte", nul + start);
  }
  try {
    // In pieces, so that a large file is not held twice as text. A piece ends where a character does.
    const decoder = new TextDecoder("utf-8", { fatal: true });
    for (let i = 0; i < body.length; i += 1 << 20) {
      decoder.decode(body.subarray(i, i + (1 << 20)), { stream: true });
    }
    decoder.decode();
  } catch {
    const bad = firstBadByte(body);
    const byte = body[bad] ?? 0;
    refuse(
      "it must be UTF-8 (save it as CSV UTF-8, or say what it is: --encoding windows-1252 for most older spreadsheets)",
      `byte 0x${byte.toString(16).toUpperCase().padStart(2, "0")}`,
      bad + start,
    );
  }
  return { body, encoding, note: null, signs };
}

/** The bytes of a text file as UTF-8 without a byte order mark: `decodeText` without the rest. */
export const utf8Body = (bytes: Uint8Array, file: string): Uint8Array => decodeText(bytes, file).body;
