import { FileFault } from "./file_fault.ts";

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

/**
 * Gives the bytes of a text file without its byte order mark, after a check that they are UTF-8 text.
 *
 * Throws FileFault for an empty file, a workbook or archive, UTF-16, a NUL byte, or a byte that is not UTF-8, with
 * the byte's offset (from 0) and its physical line.
 */
export function utf8Body(bytes: Uint8Array, file: string): Uint8Array {
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
  if (bytes.length === 0) refuse("it must have a heading row", "an empty file");
  if (startsWith(bytes, 0x50, 0x4b, 3, 4)) {
    refuse("it must be a text file (in a spreadsheet, save it as CSV UTF-8)", "a workbook or archive");
  }
  if (startsWith(bytes, 0xff, 0xfe) || startsWith(bytes, 0xfe, 0xff)) {
    refuse("it must be UTF-8 (save it as CSV UTF-8)", "UTF-16");
  }
  const body = startsWith(bytes, 0xef, 0xbb, 0xbf) ? bytes.subarray(3) : bytes;
  const nul = body.indexOf(0);
  if (nul >= 0) refuse("it must be text", "a NUL byte", nul + bytes.length - body.length);
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
      "it must be UTF-8 (save it as CSV UTF-8)",
      `byte 0x${byte.toString(16).toUpperCase().padStart(2, "0")}`,
      bad + bytes.length - body.length,
    );
  }
  return body;
}
