import { Buffer } from "node:buffer";
import { gunzipSync, inflateSync, unzipSync, unzlibSync } from "fflate";

/** Bytes as text, a letter a byte. (TextDecoder's "latin1" is windows-1252, which has other letters from 0x80 to 0x9f.) */
export const latin = (bytes: Uint8Array): string => Buffer.from(bytes).toString("latin1");

/** Every file under a folder by its relative path, a letter a byte. */
export function bytesUnder(folder: string, under = ""): Map<string, string> {
  const files = new Map<string, string>();
  for (const { name, isDirectory } of Deno.readDirSync(`${folder}/${under}`)) {
    const path = `${under}${name}`;
    if (isDirectory) { for (const [inner, text] of bytesUnder(folder, `${path}/`)) files.set(inner, text); }
    else files.set(path, latin(Deno.readFileSync(`${folder}/${path}`)));
  }
  return files;
}

const bytesOf = (text: string): Uint8Array => Uint8Array.from(text, (letter) => letter.charCodeAt(0) & 255);

/** The chunks of a PNG file (W3C PNG, section 5): what is behind the type, and for compressed texts that as well. */
function pngChunks(bytes: Uint8Array): Uint8Array[] {
  const found: Uint8Array[] = [];
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  for (let at = 8; at + 12 <= bytes.length;) {
    const length = view.getUint32(at), chunk = bytes.subarray(at + 8, at + 8 + length);
    found.push(chunk);
    const type = latin(bytes.subarray(at + 4, at + 8));
    // zTXt: keyword, 0, method, compressed text. iTXt: keyword, 0, flag, method, language, 0, translated keyword, 0, text.
    if (type === "zTXt") found.push(unzlibSync(chunk.subarray(chunk.indexOf(0) + 2)));
    if (type === "iTXt") {
      let from = chunk.indexOf(0) + 3;
      for (let zeros = 0; zeros < 2; from++) if (chunk[from] === 0) zeros++;
      if (chunk[chunk.indexOf(0) + 1] === 1) found.push(unzlibSync(chunk.subarray(from)));
    }
    if (type === "IDAT") {
      try {
        found.push(unzlibSync(chunk));
      } catch {
        // One of several pieces of a picture.
      }
    }
    at += 12 + length;
  }
  return found;
}

/**
 * A text of Latin-1 letters (a byte a letter), and every text that is packed or written otherwise in it: archives with their
 * members' names, compressed streams, PNG chunks, base64, percent signs, character references, escapes of JSON, two
 * bytes a letter, UTF-8.
 */
export function layers(text: string, depth = 0): string[] {
  const found = [text];
  if (depth > 3) return found;
  const bytes = bytesOf(text);
  const packed: (() => (Uint8Array | string)[])[] = [
    () => Object.entries(unzipSync(bytes)).flat(),
    () => [gunzipSync(bytes)],
    () => [unzlibSync(bytes)],
    () => text.startsWith("\x89PNG") ? pngChunks(bytes) : [],
  ];
  if (depth > 0 && text.length < 20_000) packed.push(() => [inflateSync(bytes)]);
  for (const unpack of packed) {
    try {
      for (const inner of unpack()) {
        found.push(...layers(typeof inner === "string" ? inner : latin(inner), depth + 1));
      }
    } catch {
      // Not packed that way.
    }
  }
  for (const [run] of text.matchAll(/[A-Za-z0-9+/_-]{12,}={0,2}/g)) {
    try {
      found.push(...layers(atob(run.replaceAll("-", "+").replaceAll("_", "/")), depth + 1));
    } catch {
      // Letters and digits that are no base64.
    }
  }
  const others = [
    text.replace(/%([0-9a-f]{2})/gi, (_, hex) => String.fromCharCode(parseInt(hex, 16))),
    text.replace(/&#(\d+);/g, (_, code) => String.fromCharCode(Number(code))),
    text.replace(/&#x([0-9a-f]+);/gi, (_, code) => String.fromCharCode(parseInt(code, 16))),
    text.replace(/\\u([0-9a-f]{4})/gi, (_, code) => String.fromCharCode(parseInt(code, 16))),
    text.replaceAll('\\"', '"'),
    text.replaceAll('""', '"'),
    text.replaceAll("\0", ""),
  ];
  for (const other of others) if (other !== text) found.push(other);
  return found.flatMap((each) => {
    const utf8 = new TextDecoder().decode(bytesOf(each));
    return utf8 === each ? [each] : [each, utf8];
  });
}
